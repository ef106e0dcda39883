package detmath

import (
	"encoding/binary"
	"math"
	"reflect"
	"slices"
	"strconv"
)

// Leaf is one value met by Walk.
type Leaf struct {
	Text string // the value for a person: floats in shortest round-trip form
	Bits []byte // the value for the digest: tag byte + fixed-width or length-prefixed bytes
}

// Tags of the leaf kinds; each begins a Leaf's Bits.
const (
	tagNil    = 'n'
	tagBool   = 'b'
	tagInt    = 'i'
	tagUint   = 'u'
	tagFloat  = 'f'
	tagFloats = 'F' // a whole slice or array of floats, digest only
	tagColumn = 'C' // a long one by its own digest, digest only
	tagBools  = 'B' // a whole slice or array of bools, digest only
	tagString = 's'
	tagLength = 'l' // number of elements of a slice
)

// maxDepth bounds the nesting of a walked value; more means a cycle of pointers.
const maxDepth = 64

// Walk visits every leaf of a plain value in a fixed order: struct fields as declared, elements by
// index. Paths look like Canals[1].Wall[3].Radius. A slice gives its length as the leaf
// path.len before its elements, so a nil and an empty slice are alike; a nil pointer is a leaf, any
// other pointer is followed. Unexported fields are walked too; fields tagged `digest:"-"` (caches
// that can be rebuilt) are skipped. All NaN are one value, since targets differ in their bits.
//
// Walk panics on maps, functions, channels, interfaces and complex numbers, and on nesting deeper
// than 64. Checked by TestWalk.
func Walk(value any, visit func(path string, leaf Leaf)) {
	w := walker{sink: visitor{visit}, plans: map[reflect.Type][]field{}}
	w.value(reflect.ValueOf(value), 0)
}

// sink receives what a walker meets. path is valid only during the call.
type sink interface {
	leaf(path []byte, tag byte, v reflect.Value)
	floats(path []byte, values []float64)
	bools(path []byte, values []bool)
}

// field is a struct field to be walked.
type field struct {
	index int
	name  string
}

// walker holds the path to the present value and what is known of struct types.
type walker struct {
	sink    sink
	path    []byte
	scratch []float64
	plans   map[reflect.Type][]field
}

func (w *walker) value(v reflect.Value, depth int) {
	if depth > maxDepth {
		panic("detmath: Walk of a value nested too deeply at " + string(w.path))
	}
	switch v.Kind() {
	case reflect.Struct:
		w.fields(v, depth)
	case reflect.Slice:
		w.step(".len", func() { w.sink.leaf(w.path, tagLength, v) })
		w.elements(v, depth)
	case reflect.Array:
		w.elements(v, depth)
	case reflect.Pointer:
		if v.IsNil() {
			w.sink.leaf(w.path, tagNil, v)
			return
		}
		w.value(v.Elem(), depth+1)
	default:
		w.sink.leaf(w.path, w.tagOf(v), v)
	}
}

// step calls do with suffix added to the path.
func (w *walker) step(suffix string, do func()) {
	n := len(w.path)
	w.path = append(w.path, suffix...)
	do()
	w.path = w.path[:n]
}

func (w *walker) fields(v reflect.Value, depth int) {
	n := len(w.path)
	for _, f := range w.plan(v.Type()) {
		if n > 0 {
			w.path = append(w.path, '.')
		}
		w.path = append(w.path, f.name...)
		w.value(v.Field(f.index), depth+1)
		w.path = w.path[:n]
	}
}

// plan returns the fields of a struct type, found once per walk since reflection is slow at it.
func (w *walker) plan(t reflect.Type) []field {
	if plan, known := w.plans[t]; known {
		return plan
	}
	plan := make([]field, 0, t.NumField())
	for i := 0; i < t.NumField(); i++ {
		f := t.Field(i)
		if f.Name != "_" && f.Tag.Get("digest") != "-" {
			plan = append(plan, field{i, f.Name})
		}
	}
	w.plans[t] = plan
	return plan
}

func (w *walker) elements(v reflect.Value, depth int) {
	switch v.Type().Elem().Kind() {
	case reflect.Float64:
		w.sink.floats(w.path, w.floatsOf(v))
		return
	case reflect.Bool:
		w.sink.bools(w.path, boolsOf(v))
		return
	}
	n := len(w.path)
	for i := 0; i < v.Len(); i++ {
		w.path = appendIndex(w.path, i)
		w.value(v.Index(i), depth+1)
		w.path = w.path[:n]
	}
}

func appendIndex(path []byte, i int) []byte {
	path = append(path, '[')
	path = strconv.AppendInt(path, int64(i), 10)
	return append(path, ']')
}

func (w *walker) floatsOf(v reflect.Value) []float64 {
	if v.Kind() == reflect.Slice && v.CanInterface() {
		if values, plain := v.Interface().([]float64); plain {
			return values
		}
	}
	w.scratch = w.scratch[:0]
	for i := 0; i < v.Len(); i++ {
		w.scratch = append(w.scratch, v.Index(i).Float())
	}
	return w.scratch
}

func boolsOf(v reflect.Value) []bool {
	values := make([]bool, v.Len())
	for i := range values {
		values[i] = v.Index(i).Bool()
	}
	return values
}

func (w *walker) tagOf(v reflect.Value) byte {
	switch v.Kind() {
	case reflect.Bool:
		return tagBool
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		return tagInt
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64, reflect.Uintptr:
		return tagUint
	case reflect.Float32, reflect.Float64:
		return tagFloat
	case reflect.String:
		return tagString
	}
	kind := v.Kind().String()
	panic("detmath: Walk of a " + kind + " at " + string(w.path))
}

// boolByte returns 1 for true and 0 for false.
func boolByte(v bool) byte {
	if v {
		return 1
	}
	return 0
}

// appendBits adds a leaf in the form described at Leaf.Bits, without its tag.
func appendBits(to []byte, tag byte, v reflect.Value) []byte {
	switch tag {
	case tagNil:
		return to
	case tagBool:
		return append(to, boolByte(v.Bool()))
	case tagInt:
		return binary.LittleEndian.AppendUint64(to, uint64(v.Int()))
	case tagUint:
		return binary.LittleEndian.AppendUint64(to, v.Uint())
	case tagFloat:
		return appendFloat(to, v.Float())
	case tagLength:
		return binary.LittleEndian.AppendUint64(to, uint64(v.Len()))
	}
	to = binary.LittleEndian.AppendUint64(to, uint64(v.Len()))
	return append(to, v.String()...)
}

func appendFloat(to []byte, x float64) []byte {
	return binary.LittleEndian.AppendUint64(to, floatBits(x))
}

func appendFloats(to []byte, values []float64) []byte {
	n := len(to)
	to = slices.Grow(to, 8*len(values))[:n+8*len(values)]
	for bytes, i := to[n:], 0; i < len(values); i++ {
		binary.LittleEndian.PutUint64(bytes[8*i:8*i+8], floatBits(values[i]))
	}
	return to
}

// floatBits returns the bits of a number, those of one NaN for every NaN.
func floatBits(x float64) uint64 {
	if x != x {
		x = math.NaN()
	}
	return math.Float64bits(x)
}

// leafText returns a leaf for a person.
func leafText(tag byte, v reflect.Value) string {
	switch tag {
	case tagNil:
		return "nil"
	case tagBool:
		return strconv.FormatBool(v.Bool())
	case tagInt:
		return strconv.FormatInt(v.Int(), 10)
	case tagUint:
		return strconv.FormatUint(v.Uint(), 10)
	case tagFloat:
		return floatText(v.Float(), v.Type().Bits())
	case tagLength:
		return strconv.Itoa(v.Len())
	}
	return strconv.Quote(v.String())
}

func floatText(x float64, bits int) string {
	return strconv.FormatFloat(x, 'g', -1, bits)
}

// visitor turns what a walker meets into calls of a function, float by float.
type visitor struct{ visit func(path string, leaf Leaf) }

func (s visitor) leaf(path []byte, tag byte, v reflect.Value) {
	s.visit(string(path), Leaf{Text: leafText(tag, v), Bits: appendBits([]byte{tag}, tag, v)})
}

func (s visitor) bools(path []byte, values []bool) {
	n := len(path)
	for i, v := range values {
		path = appendIndex(path[:n], i)
		s.visit(string(path), Leaf{Text: strconv.FormatBool(v), Bits: []byte{tagBool, boolByte(v)}})
	}
}

func (s visitor) floats(path []byte, values []float64) {
	n := len(path)
	for i, x := range values {
		path = appendIndex(path[:n], i)
		s.visit(string(path), Leaf{Text: floatText(x, 64), Bits: appendFloat([]byte{tagFloat}, x)})
	}
}
