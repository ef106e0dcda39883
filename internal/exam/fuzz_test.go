package exam_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tugback/internal/exam"
)

// seeds adds the example files as what fuzzing begins with.
func seeds(f *testing.F) {
	f.Helper()
	for _, pattern := range []string{"testdata/*.json", "testdata/refusals/*.json"} {
		for _, name := range must(filepath.Glob(pattern)) {
			f.Add(must(os.ReadFile(name)))
		}
	}
}

// Whatever is handed in, as it is or signed by the candidate, the answer is a sitting or a refusal.
func FuzzVerify(f *testing.F) {
	seeds(f)
	d := desk{paper: must(exam.DecodePaper(read(f, "testdata/paper-quiz.json"))), key: testKey(7)}
	x := must(exam.NewExaminer(d.paper, must(exam.DecodePaper(read(f, "testdata/paper-case.json")))))
	key := keyOf(d.packet(f, "ALFA"))
	f.Fuzz(func(t *testing.T, data []byte) {
		text, _, _ := strings.Cut(string(data), `,"signature"`)
		for _, one := range [][]byte{data, signedRaw(text, key)} {
			if _, err := x.Verify(one); err != nil && exam.AsRefusal(err) == nil {
				t.Errorf("no refusal: %v", err)
			}
		}
	})
}

// A packet that is read is written as the same bytes.
func FuzzDecodePacket(f *testing.F) {
	seeds(f)
	f.Add(must(quizDesk(f).packet(f, "BRAVO").Encode()))
	f.Add(must(quizDesk(f).packet(f, "BRAVO").Outside().Encode()))
	f.Fuzz(func(t *testing.T, data []byte) {
		if outside, err := exam.DecodeOutside(data); err == nil && !bytes.Equal(must(outside.Encode()), data) {
			t.Error("what a server steps is written otherwise than read")
		}
		packet, err := exam.DecodePacket(data)
		if err == nil && !bytes.Equal(must(packet.Encode()), data) {
			t.Error("written otherwise than read")
		}
	})
}

func FuzzDecodePaper(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		paper, err := exam.DecodePaper(data)
		if err == nil && !bytes.Equal(must(paper.Encode()), data) {
			t.Error("written otherwise than read")
		}
	})
}

// A log of any lines is resumed or told to be none.
func FuzzResume(f *testing.F) {
	packet := quizDesk(f).packet(f, "ALFA")
	f.Add(must(os.ReadFile("testdata/server-log.jsonl")))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := exam.Resume(packet, bytes.Split(data, []byte{'\n'}), exam.Options{Clock: newWatch().read})
		if err == nil {
			must(s.Submit())
		}
	})
}

func FuzzDecodeLine(f *testing.F) {
	for _, line := range bytes.Split(must(os.ReadFile("testdata/server-log.jsonl")), []byte{'\n'}) {
		f.Add(line)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		e, err := exam.DecodeLine(data)
		if err == nil && !bytes.Equal(must(exam.EncodeLine(e)), data) {
			t.Error("written otherwise than read")
		}
	})
}
