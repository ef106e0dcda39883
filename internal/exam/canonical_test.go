package exam_test

import (
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/base32"
	"encoding/hex"
	"encoding/json"
	"strings"
	"testing"

	"tugback/internal/exam"
)

// RFC 8785, sections 3.2.2 and 3.2.3: the example document, and the order of names by UTF-16 units.
func TestCanonical(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{`{"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
			"string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/", "literals": [null, true, false]}`,
			`{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\u000f\nA'B\"\\\\\"/"}`},
		{`{"\u20ac": "Euro Sign", "\r": "Carriage Return", "\ufb33": "Hebrew Letter Dalet With Dagesh", "1": "One",
			"\ud83d\ude00": "Emoji: Grinning Face", "\u0080": "Control", "\u00f6": "Latin Small Letter O With Diaeresis"}`,
			"{\"\\r\":\"Carriage Return\",\"1\":\"One\",\"\u0080\":\"Control\",\"ö\":\"Latin Small Letter O With Diaeresis\"," +
				"\"€\":\"Euro Sign\",\"😀\":\"Emoji: Grinning Face\",\"\ufb33\":\"Hebrew Letter Dalet With Dagesh\"}"},
	} {
		got, err := exam.Canonical(json.RawMessage(c.in))
		if err != nil || string(got) != c.want {
			t.Errorf("got  %s, %v\nwant %s", got, err, c.want)
		}
	}
}

// RFC 8032, section 7.1, test 2: the key, message and signature there.
func TestSignature(t *testing.T) {
	key := ed25519.NewKeyFromSeed(must(hex.DecodeString("4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb")))
	if got, want := exam.PublicKey(key), "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c"; got != want {
		t.Errorf("public key: got %s, want %s", got, want)
	}
	want := "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"
	if got := hex.EncodeToString(ed25519.Sign(key, []byte{0x72})); got != want {
		t.Errorf("signature: got %s, want %s", got, want)
	}
}

// The chain is as its formulas say, worked out here from the lines as text.
func TestChain(t *testing.T) {
	d := quizDesk(t)
	packet := d.packet(t, "ALFA")
	hash := sha256.Sum256([]byte("tugback-exam-1\x00" + must(packet.Digest()) + "\x00" + packet.Engine + "\x00" + "1"))
	for _, e := range must(exam.Decode(d.honestQuiz(t, "ALFA"))).Log {
		text := string(must(exam.EncodeLine(e)))
		text = strings.Replace(text, `"hash":"`+e.Hash+`"`, `"hash":""`, 1)
		hash = sha256.Sum256(append(append([]byte{1}, hash[:]...), text...))
		if got, want := e.Hash, hex.EncodeToString(hash[:]); got != want {
			t.Fatalf("line %d: got %s, want %s", e.Index+1, got, want)
		}
	}
}

// The digest is SHA-256, FIPS 180-2 appendix B.1, and the spoken receipt its first 60 bits.
func TestSpoken(t *testing.T) {
	if got, want := exam.Digest([]byte("abc")), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	spoken := exam.Spoken([]byte("abc"))
	if len(spoken) != 14 || strings.ContainsAny(spoken, "ILOU") {
		t.Errorf("%q is hard to read aloud", spoken)
	}
	bits := must(base32.NewEncoding("0123456789ABCDEFGHJKMNPQRSTVWXYZ").WithPadding(base32.NoPadding).
		DecodeString(strings.ReplaceAll(spoken, "-", "") + "0000"))
	if got, want := hex.EncodeToString(bits)[:15], "ba7816bf8f01cfe"; got != want {
		t.Errorf("it stands for the bits %s, want %s", got, want)
	}
}
