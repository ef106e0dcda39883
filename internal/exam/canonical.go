package exam

import (
	"bytes"
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/gowebpki/jcs"

	"tugback/internal/attempt"
	"tugback/internal/treatment"
)

// MostBytes bounds a document wherever one is read, sent or kept. A molar takes about 0.4 MB, so that the mostLines
// that a log may have come to some 8 to 20 MB: whatever a sitting can write can be handed in and verified.
const MostBytes = 32 << 20

// SchemaOf returns the schema that a document names, "" when it names none or is no JSON.
func SchemaOf(data []byte) string {
	var head struct {
		Schema string `json:"schema"`
	}
	if json.Unmarshal(data, &head) != nil {
		return ""
	}
	return head.Schema
}

func engine() string { return treatment.Engine }

// canonical returns v as RFC 8785 JSON. Checked by TestCanonical against that document's examples.
func canonical(v any) ([]byte, error) {
	out, err := attempt.Canonical(v)
	if err != nil {
		return nil, fmt.Errorf("canonical JSON: %w", err)
	}
	return out, nil
}

// digestOf returns the SHA-256 of the canonical form of v in hex.
func digestOf(v any) (string, error) {
	text, err := canonical(v)
	if err != nil {
		return "", err
	}
	return Digest(text), nil
}

// Digest returns the SHA-256 of bytes in hex: what a receipt names an export by.
func Digest(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// head is what stands in every document, and the key of an export.
type head struct {
	Schema *string `json:"schema"`
	Engine *string `json:"engine"`
	Key    string  `json:"key"`
}

// glance refuses at low cost what cannot be a document of a schema. Checked by TestRefusalFiles.
func glance(data []byte, schema string) (head, *Refusal) {
	var h head
	switch {
	case len(data) > MostBytes:
		return h, refuse(TooLarge, "%d bytes; at most %d are read", len(data), MostBytes)
	case len(data) == 0:
		return h, refuse(NotJSON, "the file is empty")
	case data[0] != '{':
		return h, refuse(NotJSON, "it does not begin with { as JSON of this kind does")
	}
	decoder := json.NewDecoder(bytes.NewReader(data))
	if err := decoder.Decode(&h); err != nil {
		return h, unread(err)
	}
	if rest := int64(len(data)) - decoder.InputOffset(); rest > 0 {
		return h, refuse(TrailingData, "%d bytes follow the document", rest)
	}
	if h.Schema == nil || *h.Schema != schema {
		found := "none"
		if h.Schema != nil {
			found = fmt.Sprintf("%.40q", *h.Schema)
		}
		return h, refuse(WrongSchema, "its schema is %s; expected %q", found, schema)
	}
	if h.Engine == nil {
		return h, refuse(Malformed, "it names no engine")
	}
	return h, nil
}

// unread says why JSON could not be read.
func unread(err error) *Refusal {
	var syntax *json.SyntaxError
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF), errors.As(err, &syntax) && strings.Contains(syntax.Error(), "unexpected end"):
		return refuse(Truncated, "the file ends in the middle")
	case errors.As(err, &syntax):
		return refuse(NotJSON, "byte %d: %s", syntax.Offset, syntax.Error())
	}
	return refuse(Malformed, "%s", plain(err))
}

// plain says in words what the decoder found.
func plain(err error) string {
	var kind *json.UnmarshalTypeError
	if errors.As(err, &kind) {
		return fmt.Sprintf("byte %d: the field %s cannot hold a %s", kind.Offset, kind.Field, kind.Value)
	}
	return strings.TrimPrefix(err.Error(), "json: ")
}

// strict reads one canonical document of a schema with every field known.
func strict(data []byte, schema string, into any) *Refusal {
	if _, refused := glance(data, schema); refused != nil {
		return refused
	}
	return exact(data, into)
}

// exact reads a document that stood a glance.
func exact(data []byte, into any) *Refusal {
	ordered, err := jcs.Transform(data)
	if err != nil {
		if attempt.Doubled(err) {
			return refuse(DuplicateKey, "%v", err)
		}
		return refuse(Malformed, "%v", err)
	}
	if !bytes.Equal(ordered, data) {
		return refuse(NonCanonical, "%s", unlike(data, ordered))
	}
	if unknown, err := attempt.Strict(data, into); err != nil {
		code := Malformed
		if unknown {
			code = UnknownField
		}
		return refuse(code, "%s", plain(err))
	}
	again, err := canonical(into)
	if err != nil {
		return refuse(Malformed, "%v", err)
	}
	if !bytes.Equal(again, data) {
		return refuse(NonCanonical, "%s", unlike(data, again))
	}
	return nil
}

// unlike says where data leaves the one form in which it is written.
func unlike(data, form []byte) string {
	at, found, wanted := attempt.Departure(data, form)
	return fmt.Sprintf("byte %d: found %q where %q is written: it was changed after it was written", at, found, wanted)
}

// check verifies a signature in hex over the canonical form of v. Checked by TestSignature against
// RFC 8032.
func check(v any, key, signature string) error {
	public, err := hex.DecodeString(key)
	if err != nil || len(public) != ed25519.PublicKeySize {
		return errors.New("the public key is not 64 hexadecimal digits")
	}
	sig, err := hex.DecodeString(signature)
	if err != nil || hex.EncodeToString(sig) != signature { // capital letters would be a second form
		return errors.New("the signature is not hexadecimal")
	}
	text, err := canonical(v)
	if err != nil {
		return err
	}
	if !ed25519.Verify(public, text, sig) {
		return errors.New("the signature does not belong to the content and the key")
	}
	return nil
}

// sign returns the signature, in hex, over the canonical form of v.
func sign(v any, key ed25519.PrivateKey) (string, error) {
	text, err := canonical(v)
	if err != nil {
		return "", err
	}
	return hex.EncodeToString(ed25519.Sign(key, text)), nil
}

// PublicKey returns the public half of a key in hex.
func PublicKey(key ed25519.PrivateKey) string {
	return hex.EncodeToString(key.Public().(ed25519.PublicKey)) //nolint:forcetypeassert // by its type
}
