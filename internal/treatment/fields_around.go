package treatment

// aroundTable lists the fields of the kinds before and between the visits.
func aroundTable() map[Kind][]Field {
	return map[Kind][]Field{
		Test: {
			choiceField("what", "the test", "cold", "heat", "electric", "percussion", "palpation", "probing", "bite", "light"),
			number("tooth", "", 1, 11, 48, "the tooth tested, another one as a control (the tooth itself when not given)", func(a *Action) *int { return &a.Tooth }),
		},
		Diagnose: {
			choiceField("pulp", "term for the pulp", PulpTerms()...),
			agentField("apical", "term for the tissue round the apex", ApicalTerms()...),
		},
		Prepare: {
			choiceField("what", "what is made ready", Preparations()...),
			number("cut", "mm", 1000, 100, 2000, "taken off the reference cusp (cusp-cut)", func(a *Action) *int { return &a.Depth }),
		},
		Anaesthetise: {
			choiceField("technique", "kind of injection", "infiltration", "block", "supplement"),
			flag("tested", "its effect was tested", func(a *Action) *int { return &a.Tested }),
		},
		Return: {
			needed(number("days", "d", 1, 1, 3650, "days since the last visit", func(a *Action) *int { return &a.Days })),
		},
		Recall: {needed(number("days", "d", 1, 1, 3650, "days since the treatment", func(a *Action) *int { return &a.Days }))},
	}
}

func reviewFields() []Field {
	return []Field{
		number("days", "d", 1, 1, 3650, "days until the next review", func(a *Action) *int { return &a.Days }),
		optional(choiceField("decision", "what follows from the recall's film", "discharge", "watch", "retreat", "refer")),
	}
}

func fillFields() []Field {
	return []Field{
		canalField(), choiceField("technique", "filling technique", "cold-lateral", "single-cone", "warm-vertical"),
		agentField("sealer", "kind of sealer", "epoxy-resin", "zinc-oxide-eugenol", "calcium-silicate"),
		number("spreader", "mm", 1000, 0, 40000, "depth the spreader reaches (cold lateral)", func(a *Action) *int { return &a.Stop }),
		number("accessory", "", 1, 0, 30, "accessory cones", func(a *Action) *int { return &a.Count }),
		number("load", "N", 1000, 0, 60000, "load on the spreader (10 N when not given)", func(a *Action) *int { return &a.Press }),
		optional(word("placed", "how the sealer is brought in", []string{"cone", "needle"}, func(a *Action) *string { return &a.Motion })),
		number("needle", "mm", 1000, 0, 40000, "depth of the sealer needle's tip from the reference point", func(a *Action) *int { return &a.Depth }),
		number("plugger", "mm", 1000, 0, 40000, "depth the hot plugger reaches from the reference point (warm vertical)", func(a *Action) *int { return &a.Length }),
		number("temperature", "°C", 10, 600, 3000, "of the hot plugger (200 °C when not given)", func(a *Action) *int { return &a.Heat }),
		number("time", "s", 1000, 0, 60000, "heat of one go (3 s when not given)", func(a *Action) *int { return &a.Time }),
	}
}
