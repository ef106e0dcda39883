package scenario

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/treatment"
)

// unit is one way of writing a quantity: num/den of the first unit of its dimension. Two whole
// numbers instead of one factor keep 7 % at the float64 nearest to 0.07.
type unit struct {
	name      string
	dimension string
	num, den  float64
}

// units is the single table of the units people may write. The first of a dimension is the one the
// others are counted in; the first spelling of a unit is the one messages propose.
func units() []unit {
	return []unit{
		{"mm", "length", 1, 1}, {"µm", "length", 1, 1000}, {"um", "length", 1, 1000}, {"cm", "length", 10, 1},
		{"rad", "angle", 1, 1}, {"deg", "angle", math.Pi, 180}, {"°", "angle", math.Pi, 180},
		{"N", "force", 1, 1}, {"mN", "force", 1, 1000},
		{"N·mm", "torque", 1, 1}, {"N·cm", "torque", 10, 1}, {"mN·m", "torque", 1, 1},
		{"Nmm", "torque", 1, 1}, {"Ncm", "torque", 10, 1},
		{"s", "time", 1, 1}, {"ms", "time", 1, 1000}, {"min", "time", 60, 1}, {"h", "time", 3600, 1},
		{"d", "span", 1, 1}, {"day", "span", 1, 1}, {"days", "span", 1, 1}, {"week", "span", 7, 1}, {"weeks", "span", 7, 1},
		{"year", "span", 1461, 4}, {"years", "span", 1461, 4},
		{"ml", "volume", 1, 1}, {"µl", "volume", 1, 1000}, {"ul", "volume", 1, 1000}, {"mm³", "volume", 1, 1000}, {"mm3", "volume", 1, 1000},
		{"ml/min", "flow", 1, 1}, {"ml/s", "flow", 60, 1}, {"µl/s", "flow", 60, 1000}, {"ul/s", "flow", 60, 1000},
		{"share", "share", 1, 1}, {"%", "share", 1, 100},
		{"Pa", "pressure", 1, 1}, {"kPa", "pressure", 1000, 1}, {"mmHg", "pressure", treatment.MmHg, 1},
		{"°C", "temperature", 1, 1}, {"C", "temperature", 1, 1},
		{"rpm", "speed", 1, 1}, {"1/min", "speed", 1, 1},
	}
}

// findUnit returns a unit by its name. Dots of every kind stand for the point of a product.
func findUnit(name string) (unit, bool) {
	name = strings.NewReplacer("⋅", "·", ".", "·", "*", "·", "μ", "µ").Replace(name)
	for _, u := range units() {
		if u.name == name {
			return u, true
		}
	}
	return unit{}, false
}

// unitsLike returns the names of the units in which the same quantity can be written, the given one
// first.
func unitsLike(name string) []string {
	u, _ := findUnit(name)
	names := []string{name}
	for _, other := range units() {
		if other.dimension == u.dimension && other.name != name && other.name != "share" {
			names = append(names, other.name)
		}
	}
	return names
}

// convert turns a value in one unit into another of the same dimension; the same unit gives the
// same value. It panics when the units do not fit, which no text of a user can bring about.
func convert(value float64, from, to string) float64 {
	if from == to {
		return value
	}
	f, found := findUnit(from)
	t, known := findUnit(to)
	if !found || !known || f.dimension != t.dimension {
		panic(fmt.Sprintf("scenario: no conversion from %q to %q", from, to))
	}
	return value * (f.num * t.den) / (f.den * t.num)
}

// numeral is a number as people may write it: no exponent, no separators.
var numeral = regexp.MustCompile(`^[+-]?(\d+(\.\d*)?|\.\d+)`)

// amount is a written quantity: a number, the unit behind it (may be missing), and where in the text
// the unit begins, in characters from 0.
type amount struct {
	value  float64
	unit   string
	unitAt int
}

// readAmount takes a written quantity apart. The complaint, when there is one, says what is wrong
// with the number and where in the text; units are judged by the caller.
func readAmount(text string) (a amount, complaint string) {
	digits := numeral.FindString(text)
	rest := strings.TrimSpace(text[len(digits):])
	switch {
	case digits == "":
		return a, fmt.Sprintf("%q is not a number", text)
	case strings.HasPrefix(rest, ",") && len(rest) > 1 && rest[1] >= '0' && rest[1] <= '9':
		return a, fmt.Sprintf("%q has a comma; write a point: %s", text, strings.Replace(text, ",", ".", 1))
	case leadingZero(digits):
		return a, fmt.Sprintf("%s begins with 0, which some readers of YAML take for a number to base 8; write it without", digits)
	case rest != "" && strings.ContainsAny(rest[:1], "0123456789_:.xX") || exponent.MatchString(rest):
		return a, fmt.Sprintf("%q is not a plain number such as 12 or 0.5", text)
	}
	value, err := strconv.ParseFloat(digits, 64)
	if err != nil || math.Abs(value) > 1e12 {
		return a, digits + " is too large"
	}
	at := len([]rune(text)) - len([]rune(rest))
	return amount{value + 0, rest, at}, ""
}

// exponent matches what stands behind the digits of a number written with a power of ten.
var exponent = regexp.MustCompile(`^[eE][+-]?\d`)

// leadingZero reports whether a number is written like 010 or -007.
func leadingZero(digits string) bool {
	digits = strings.TrimLeft(digits, "+-")
	return len(digits) > 1 && digits[0] == '0' && digits[1] != '.'
}

// in returns an amount in the wanted unit, or what is wrong with its unit, to be put behind it. The wanted unit "" is a
// plain number.
func (a amount) in(wanted string) (value float64, complaint string) {
	if a.unit == wanted {
		return a.value, ""
	}
	if wanted == "" {
		return 0, ": a plain number has no unit; write " + strconv.FormatFloat(a.value, 'g', -1, 64)
	}
	allowed := unitsLike(wanted)
	if a.unit == "" {
		example := strconv.FormatFloat(a.value, 'g', -1, 64)
		return 0, fmt.Sprintf(" without a unit; write for example %s %s; allowed: %s", example, wanted, strings.Join(allowed, ", "))
	}
	u, found := findUnit(a.unit)
	if !found || !slices.Contains(allowed, u.name) {
		if strings.EqualFold(a.unit, "grad") && slices.Contains(allowed, "deg") {
			return 0, fmt.Sprintf(": the unit %q does not fit; did you mean \"deg\"? allowed: %s", a.unit, strings.Join(allowed, ", "))
		}
		return 0, fmt.Sprintf(": the unit %q does not fit; %s", shorten(a.unit), choices(a.unit, allowed))
	}
	return convert(a.value, u.name, wanted), ""
}

// show writes a value with its unit for a message.
func show(value float64, unit string) string {
	return strings.TrimSpace(strconv.FormatFloat(value, 'g', 10, 64) + " " + unit)
}
