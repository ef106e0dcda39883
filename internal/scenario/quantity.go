package scenario

import "errors"

// Quantity reads a number with its unit, as in "2.5 mm", and returns it in the wanted unit; the unit may
// not be missing unless the wanted one is "". The error says what is allowed. Checked by TestQuantity.
func Quantity(text, unit string) (float64, error) {
	a, complaint := readAmount(text)
	if complaint != "" {
		return 0, errors.New(complaint + "; " + expected(unit))
	}
	value, complaint := a.in(unit)
	if complaint != "" {
		return 0, errors.New(shorten(text) + complaint)
	}
	return value, nil
}
