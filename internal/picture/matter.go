package picture

// Attenuation, 1/mm, at the effective energy of a dental beam, about 40 keV, by thickness of aluminium of
// equal attenuation: dentine about 1 mm and enamel about 2 mm per mm (from memory, high certainty);
// gutta-percha at least 6 mm for a point (ISO 6877) and sealer at least 3 mm per mm (ISO 6876); soft
// tissue as water, bone with its marrow between (from memory, medium certainty); steel from the tables
// of attenuation coefficients (from memory).
const (
	aluminium = 0.153

	airMatter     = 0.0
	softMatter    = 0.027
	boneMatter    = 0.055
	denseMatter   = 0.11
	dentineMatter = 1.0 * aluminium
	enamelMatter  = 2.0 * aluminium
	chipMatter    = 0.6 * dentineMatter
	pointMatter   = 6.0 * aluminium
	sealerMatter  = 3.0 * aluminium
	coverMatter   = 1.6 * aluminium
	repairMatter  = 5.0 * aluminium
	steelMatter   = 2.8
)
