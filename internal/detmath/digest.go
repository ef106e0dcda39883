package detmath

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"hash"
	"math"
	"reflect"
	"slices"
)

// Digest returns the SHA-256 of a value's leaves and paths as 64 lower-case hexadecimal digits.
// It walks as Walk does, and panics where Walk does. Two values of one type have the same digest
// exactly if Diff finds no difference. A value of 20 000 floats takes a few milliseconds at most.
//
// Hashed is, for every leaf, the length of its path (8 bytes, little endian), the path and the
// leaf's Bits; a slice or array of bool is one leaf: tag 'B', count, and a byte for each; so is one of
// up to 16 float64: tag 'F', count, and 8 bytes for each. A longer one is a column and enters by a
// digest of its own: tag 'C', count, and the 32 bytes of the SHA-256 of its 8 bytes for each.
// Checked by TestDigest.
func Digest(value any) string { return new(Digester).Digest(value) }

// Digester computes digests of values that follow one another, such as a state after every action. It
// keeps the last value's columns and hashes only those that have changed; what it returns is Digest's,
// whatever it was given before. The zero value is ready. Not to be used by two at once.
// Checked by TestDigester.
type Digester struct {
	buffer  []byte
	columns []column
	plans   map[reflect.Type][]field
}

// column is a run of floats as last seen at its place among the columns, and its digest.
type column struct {
	values []float64
	sum    [sha256.Size]byte
}

// Digest returns what the function Digest returns.
func (d *Digester) Digest(value any) string {
	if d.plans == nil {
		d.plans = map[reflect.Type][]field{}
	}
	h := &hasher{sum: sha256.New(), memory: d}
	d.buffer = slices.Grow(d.buffer[:0], flushSize+512)
	w := walker{sink: h, plans: d.plans}
	w.value(reflect.ValueOf(value), 0)
	h.sum.Write(d.buffer)
	return hex.EncodeToString(h.sum.Sum(nil))
}

const (
	flushSize  = 1 << 13 // bytes that a hasher gathers before hashing them
	mostInline = 16      // floats that are hashed where they stand; more are a column
)

// hasher is the sink of Digest.
type hasher struct {
	sum    hash.Hash
	memory *Digester
	next   int // place of the next column
}

func (h *hasher) begin(path []byte, tag byte) {
	buffer := h.memory.buffer
	if len(buffer) > flushSize {
		h.sum.Write(buffer)
		buffer = buffer[:0]
	}
	buffer = binary.LittleEndian.AppendUint64(buffer, uint64(len(path)))
	buffer = append(buffer, path...)
	h.memory.buffer = append(buffer, tag)
}

func (h *hasher) count(n int) {
	h.memory.buffer = binary.LittleEndian.AppendUint64(h.memory.buffer, uint64(n))
}

func (h *hasher) leaf(path []byte, tag byte, v reflect.Value) {
	h.begin(path, tag)
	h.memory.buffer = appendBits(h.memory.buffer, tag, v)
}

func (h *hasher) bools(path []byte, values []bool) {
	h.begin(path, tagBools)
	h.count(len(values))
	for _, v := range values {
		h.memory.buffer = append(h.memory.buffer, boolByte(v))
	}
}

func (h *hasher) floats(path []byte, values []float64) {
	if len(values) > mostInline {
		h.begin(path, tagColumn)
		h.count(len(values))
		h.memory.buffer = append(h.memory.buffer, h.column(values)...)
		return
	}
	h.begin(path, tagFloats)
	h.count(len(values))
	h.memory.buffer = appendFloats(h.memory.buffer, values)
}

// column returns the digest of the next column.
func (h *hasher) column(values []float64) []byte {
	d := h.memory
	if h.next == len(d.columns) {
		d.columns = append(d.columns, column{})
	}
	c := &d.columns[h.next]
	h.next++
	if !sameBits(c.values, values) {
		c.values = append(c.values[:0], values...)
		c.sum = sha256.Sum256(appendFloats(nil, values))
	}
	return c.sum[:]
}

// sameBits says whether two runs of floats are the same bit for bit.
func sameBits(a, b []float64) bool {
	if len(a) != len(b) {
		return false
	}
	for i, x := range a {
		if math.Float64bits(x) != math.Float64bits(b[i]) {
			return false
		}
	}
	return true
}

// Difference is a field that differs between two values. Got and Want are the values as text, floats
// in shortest round-trip form, or "absent" for a leaf that one side does not have.
type Difference struct{ Path, Got, Want string }

const absent = "absent"

// visited is a leaf with its path.
type visited struct {
	path string
	leaf Leaf
}

// leavesOf returns the leaves of a value in walking order and the place of each path.
func leavesOf(value any) ([]visited, map[string]int) {
	var list []visited
	places := map[string]int{}
	Walk(value, func(path string, leaf Leaf) {
		places[path] = len(list)
		list = append(list, visited{path, leaf})
	})
	return list, places
}

// Diff returns the leaves that differ between two values, in walking order, at most limit of them:
// those with other bits, and those that only one side has (longer slices, nil pointers).
// It panics where Walk does. Checked by TestDiff.
func Diff(got, want any, limit int) []Difference {
	gotLeaves, _ := leavesOf(got)
	wantLeaves, wantPlaces := leavesOf(want)
	var found []Difference
	add := func(path, g, w string) {
		if len(found) < limit {
			found = append(found, Difference{path, g, w})
		}
	}
	j := 0
	for _, g := range gotLeaves {
		place, shared := wantPlaces[g.path]
		if !shared || place < j {
			add(g.path, g.leaf.Text, absent)
			continue
		}
		for ; j < place; j++ {
			add(wantLeaves[j].path, absent, wantLeaves[j].leaf.Text)
		}
		if w := wantLeaves[j]; !bytes.Equal(g.leaf.Bits, w.leaf.Bits) {
			add(g.path, g.leaf.Text, w.leaf.Text)
		}
		j++
	}
	for ; j < len(wantLeaves); j++ {
		add(wantLeaves[j].path, absent, wantLeaves[j].leaf.Text)
	}
	return found
}
