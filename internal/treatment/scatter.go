package treatment

// LocatorScatter returns how unsteadily a locator's pointer stands with an instrument at the end of a canal
// as it is, mm (standard deviation, 0 or more), which a person sees it do; how far early it reads on
// average nobody sees. It panics for an instrument that is not in the catalogue or a canal that is not in
// the tooth. See Locating.Spread. Checked by TestLocatorScatter.
func (s *State) LocatorScatter(canal int, item string) float64 {
	instrument, err := Lookup(item)
	if err != nil {
		panic("treatment: " + err.Error())
	}
	t := &turn{State: *s, action: Action{Canal: s.Canals[canal].Name}}
	_, scatter := t.locating(instrument).Spread()
	return scatter
}
