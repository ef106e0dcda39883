package detmath

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"hash"
	"reflect"
	"slices"
)

// Digest returns the SHA-256 of a value's leaves and paths as 64 lower-case hexadecimal digits.
// It walks as Walk does, and panics where Walk does. Two values of one type have the same digest
// exactly if Diff finds no difference. A value of 20 000 floats takes a few milliseconds at most.
//
// Hashed is, for every leaf, the length of its path (8 bytes, little endian), the path and the
// leaf's Bits; a slice or array of float64 is one leaf: tag 'F', count, and 8 bytes for each.
// Checked by TestDigest.
func Digest(value any) string {
	s := &hasher{sum: sha256.New(), buffer: make([]byte, 0, flushSize+512)}
	w := walker{sink: s, plans: map[reflect.Type][]field{}}
	w.value(reflect.ValueOf(value), 0)
	s.sum.Write(s.buffer)
	return hex.EncodeToString(s.sum.Sum(nil))
}

// flushSize is how many bytes a hasher gathers before hashing them.
const flushSize = 1 << 13

// hasher is the sink of Digest.
type hasher struct {
	sum    hash.Hash
	buffer []byte
}

func (h *hasher) begin(path []byte) {
	if len(h.buffer) > flushSize {
		h.sum.Write(h.buffer)
		h.buffer = h.buffer[:0]
	}
	h.buffer = binary.LittleEndian.AppendUint64(h.buffer, uint64(len(path)))
	h.buffer = append(h.buffer, path...)
}

func (h *hasher) leaf(path []byte, tag byte, v reflect.Value) {
	h.begin(path)
	h.buffer = appendBits(h.buffer, tag, v)
}

func (h *hasher) floats(path []byte, values []float64) {
	h.begin(path)
	h.buffer = append(h.buffer, tagFloats)
	h.buffer = binary.LittleEndian.AppendUint64(h.buffer, uint64(len(values)))
	n := len(h.buffer)
	h.buffer = slices.Grow(h.buffer, 8*len(values))[:n+8*len(values)]
	bytes := h.buffer[n:]
	for i, x := range values {
		binary.LittleEndian.PutUint64(bytes[8*i:8*i+8], floatBits(x))
	}
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
