package scenario

import (
	"gopkg.in/yaml.v3"

	"tugback/internal/treatment"
)

// findings reads what history and examination bring out; what is not given is not there.
func (r *reader) findings(node *yaml.Node, f *treatment.Findings) {
	var keys []key
	for _, one := range []struct {
		name string
		at   *bool
	}{
		{"metal", &f.Metal}, {"caries", &f.Caries}, {"wall-missing", &f.Broken}, {"crack", &f.Crack},
		{"tender", &f.Tender}, {"swollen", &f.Swollen}, {"sinus", &f.Sinus}, {"symptoms", &f.Symptoms},
		{"not-restorable", &f.Hopeless}, {"small-opening", &f.Opening}, {"gagging", &f.Gag},
	} {
		keys = append(keys, key{one.name, false, func(n *yaml.Node) { *one.at, _ = r.flag(n, one.name) }})
	}
	whole := func(name string, at *int, l limits) key {
		return key{name, false, func(n *yaml.Node) {
			if value, ok := r.quantity(n, name, l); ok {
				*at = int(value)
			}
		}}
	}
	r.group(node, "examination", append(keys,
		whole("pocket", &f.Pocket, limits{"mm", 0, 15}),
		whole("physical-status", &f.ASA, limits{"", 1, 5}),
		r.wordKey("pulp-term", &f.PulpTerm, treatment.PulpTerms()...),
		r.wordKey("apical-term", &f.ApicalTerm, treatment.ApicalTerms()...),
	))
}

// aroundFigures lists the settings of the procedure around shaping.
func aroundFigures(p *treatment.Parameters) []figure {
	return []figure{
		{"back-pressure", limits{"mmHg", 0, 100}, "Pa", &p.BackPressure},
		{"syringe-push", limits{"kPa", 50, 1500}, "Pa", &p.SyringePush},
		{"air-lock", limits{"%", 0, 95}, "share", &p.AirLock},
		{"accident-volume", limits{"ml", 0.01, 5}, "ml", &p.Accident},
		{"room-temperature", limits{"°C", 10, 40}, "°C", &p.RoomTemp},
		{"cone-scatter", limits{"%", 0, 30}, "share", &p.Cone},
		{"cone-bias", limits{"%", -30, 30}, "share", &p.ConeBias},
		{"temporary-least", limits{"mm", 0, 6}, "mm", &p.TemporaryLeast},
		{"sealer-coat", limits{"mm", 0.01, 0.5}, "mm", &p.SealerCoat},
		{"spreader-load", limits{"N", 1, 60}, "N", &p.RootLoad},
		{"shelf", limits{"mm", 0, 3}, "mm", &p.Shelf},
		{"tests-together", limits{"%", 0, 95}, "share", &p.TestsTogether},
		{"dressing-left", limits{"%", 0, 90}, "share", &p.Assumed.DressingLeft},
		{"wet-gap", limits{"%", 0, 100}, "share", &p.Assumed.WetGap},
		{"hole-seep", limits{"ml", 0, 1}, "ml", &p.Assumed.HoleSeep},
		{"repair-fault", limits{"%", 0, 100}, "share", &p.Assumed.RepairFault},
		{"repair-blood", limits{"%", 0, 100}, "share", &p.Assumed.RepairBlood},
		{"crack-rate", limits{"%", 0, 50}, "share", &p.Assumed.CrackRate},
		{"open-leak", limits{"%", 0, 50}, "share", &p.Assumed.OpenLeak},
		{"bare-leak", limits{"%", 0, 50}, "share", &p.Assumed.BareLeak},
		{"spoiled-bond", limits{"%", 0, 100}, "share", &p.Assumed.SpoiledBond},
		{"temporary-leak", limits{"%", 0, 100}, "share", &p.Assumed.TemporaryGap},
		{"regrowth", limits{"%", 0, 50}, "share", &p.Assumed.Regrowth},
	}
}
