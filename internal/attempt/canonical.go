package attempt

import (
	"bytes"
	"encoding/json"
	"strings"

	"github.com/gowebpki/jcs"
)

// Canonical returns v as canonical JSON (RFC 8785): one line, keys sorted, no space, no line end. Equal values
// give equal bytes. Checked by TestRoundTrip and, against that document's examples, by exam's TestCanonical.
func Canonical(v any) ([]byte, error) {
	text, err := json.Marshal(v)
	if err != nil {
		return nil, err
	}
	return jcs.Transform(text)
}

// Doubled reports whether text was not brought into canonical form because a key stands in it twice.
func Doubled(err error) bool {
	return strings.Contains(strings.ToLower(err.Error()), "duplicate")
}

// Departure returns where data leaves the one form in which it is written: the byte, from 1, and what stands
// there in either. Checked by TestDecodeRefuses.
func Departure(data, form []byte) (at int, found, wanted string) {
	for at < len(data) && at < len(form) && data[at] == form[at] {
		at++
	}
	around := func(text []byte) string { return string(text[min(at, len(text)):min(at+24, len(text))]) }
	return at + 1, around(data), around(form)
}

// Strict decodes JSON of which every field must be known; unknown reports that one is not. Checked by
// TestDecodeRefuses.
func Strict(data []byte, into any) (unknown bool, err error) {
	decoder := json.NewDecoder(bytes.NewReader(data))
	decoder.DisallowUnknownFields()
	err = decoder.Decode(into)
	return err != nil && strings.HasPrefix(err.Error(), "json: unknown field"), err
}
