package treatment

// Findings are what history and examination of the invented patient bring out. The zero value is an
// uncomplicated patient whose diagnosis follows from the case's pulp and lesion.
type Findings struct {
	Metal      bool   // a metal restoration borders the cavity
	Caries     bool   // caries must come out first
	Broken     bool   // a wall must be built up before the dam holds
	Crack      bool   // a crack line shows under light
	Tender     bool   // to percussion
	Swollen    bool   // a swelling
	Sinus      bool   // a sinus tract
	Symptoms   bool   // spontaneous or lingering pain
	Pocket     int    // deepest probing at the tooth, mm
	Hopeless   bool   // cannot be restored
	ASA        int    // physical status, 1 to 5; 0 counts as 1
	Opening    bool   // mouth opens little
	Gag        bool   // gags
	PulpTerm   string // of the consensus terms; "" by the case
	ApicalTerm string
}

// PulpTerms and ApicalTerms are the consensus diagnostic terms (2009, reread 2013: protocol facts 1.2).
func PulpTerms() []string {
	return []string{"normal-pulp", "reversible-pulpitis", "symptomatic-irreversible-pulpitis",
		"asymptomatic-irreversible-pulpitis", "pulp-necrosis", "previously-treated", "previously-initiated"}
}

// ApicalTerms are the terms for the tissue round the apex; see PulpTerms.
func ApicalTerms() []string {
	return []string{"normal-apical-tissues", "symptomatic-apical-periodontitis", "asymptomatic-apical-periodontitis",
		"acute-apical-abscess", "chronic-apical-abscess", "condensing-osteitis"}
}

// Diagnosis returns the two terms the findings add up to. Checked by TestDiagnosis.
func (c *Case) Diagnosis() (pulp, apical string) {
	f := c.Findings
	pulp, apical = f.PulpTerm, f.ApicalTerm
	if pulp == "" {
		switch {
		case !c.Vital:
			pulp = "pulp-necrosis"
		case f.Symptoms:
			pulp = "symptomatic-irreversible-pulpitis"
		default:
			pulp = "asymptomatic-irreversible-pulpitis"
		}
	}
	if apical == "" {
		switch {
		case f.Sinus:
			apical = "chronic-apical-abscess"
		case f.Swollen:
			apical = "acute-apical-abscess"
		case f.Tender:
			apical = "symptomatic-apical-periodontitis"
		case c.Lesion:
			apical = "asymptomatic-apical-periodontitis"
		default:
			apical = "normal-apical-tissues"
		}
	}
	return pulp, apical
}

// Choice returns what is right to do with a case: not treat what cannot be restored, not take out a pulp
// that heals, refer what is beyond a student; else treat.
func (c *Case) Choice() string {
	pulp, _ := c.Diagnosis()
	switch {
	case c.Findings.Hopeless:
		return "extract"
	case pulp == "normal-pulp":
		return "wait"
	case pulp == "reversible-pulpitis":
		return "vital-therapy"
	case c.Difficulty == "high":
		return "refer"
	}
	return "treat"
}
