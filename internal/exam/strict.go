package exam

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/gowebpki/jcs"
)

// mostBytes bounds a document: a sitting of ten molars takes about 3 MB.
const mostBytes = 32 << 20

// strict reads one canonical document of a schema with every field known.
func strict(data []byte, schema string, into any) error {
	if len(data) > mostBytes {
		return fmt.Errorf("%d bytes, at most %d are read", len(data), mostBytes)
	}
	var head struct {
		Schema string `json:"schema"`
	}
	if err := json.Unmarshal(data, &head); err != nil {
		return errors.New("it is not JSON: " + strings.TrimPrefix(err.Error(), "json: "))
	}
	if head.Schema != schema {
		return fmt.Errorf("its schema is %.40q; expected %q", head.Schema, schema)
	}
	ordered, err := jcs.Transform(data)
	if err != nil {
		return fmt.Errorf("it is not canonical JSON: %w", err)
	}
	if !bytes.Equal(ordered, data) {
		return errors.New("it is not canonical JSON: it was changed after it was written")
	}
	decoder := json.NewDecoder(bytes.NewReader(data))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(into); err != nil {
		return errors.New(strings.TrimPrefix(err.Error(), "json: "))
	}
	if _, more := decoder.Token(); !errors.Is(more, io.EOF) {
		return errors.New("something follows the document")
	}
	return nil
}
