package exam_test

import (
	"bytes"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"tugback/internal/exam"
	"tugback/internal/marking"
)

// sameMarks reports whether two verified sittings are worth the same, rule by rule.
func sameMarks(a, b *exam.Verified) bool {
	return a.Points == b.Points && a.Available == b.Available && slices.EqualFunc(a.Cases, b.Cases, func(x, y exam.Treated) bool {
		return x.Marks.Failed == y.Marks.Failed && slices.EqualFunc(x.Marks.Rules, y.Marks.Rules, func(p, q marking.RuleMark) bool {
			return p.ID == q.ID && p.Points == q.Points && p.Evidence == q.Evidence
		})
	})
}

// mutate changes a document somewhere: one byte, or one line of the log, or one number or text.
func mutate(rng *rand.Rand, honest []byte) []byte {
	out := bytes.Clone(honest)
	at := rng.IntN(len(out))
	switch rng.IntN(6) {
	case 0: // another byte
		out[at] = byte(rng.IntN(256))
	case 1: // a byte less
		out = slices.Delete(out, at, at+1)
	case 2: // a byte more
		out = slices.Insert(out, at, byte(' '+rng.IntN(95)))
	case 3: // a bit
		out[at] ^= 1 << rng.IntN(8)
	case 4: // two lines of the log change places, or one is there twice or missing
		lines := bytes.Split(out, []byte(`},{`))
		i, j := rng.IntN(len(lines)), rng.IntN(len(lines))
		switch rng.IntN(3) {
		case 0:
			lines[i], lines[j] = lines[j], lines[i]
		case 1:
			lines = slices.Insert(lines, i, lines[j])
		default:
			lines = slices.Delete(lines, i, i+1)
		}
		out = bytes.Join(lines, []byte(`},{`))
	default: // a digit
		digits := strings.IndexAny(string(out[at:]), "0123456789")
		if digits >= 0 {
			out[at+digits] = '0' + byte(rng.IntN(10))
		}
	}
	return out
}

// A signature has one form: with a letter of it made capital, it is the same number and another file.
func TestSignatureForm(t *testing.T) {
	d := quizDesk(t)
	honest := d.honestQuiz(t, "ALFA")
	begin := bytes.LastIndex(honest, []byte(`"signature":"`)) + len(`"signature":"`)
	changed := append(bytes.Clone(honest[:begin]), bytes.ToUpper(honest[begin:])...)
	_, err := d.examiner(t).Verify(changed)
	refusedAs(t, err, exam.CandidateSignature, "signature")
}

// 10,000 random changes of one byte to one line: none is accepted, let alone with other marks.
func TestMutations(t *testing.T) {
	d := sealed(t, nil)
	x := d.examiner(t)
	honest := d.honest(t, "ALFA", 4)
	want := must(x.Verify(honest))
	rng := rand.New(rand.NewPCG(1, 2))
	codes := map[exam.Code]int{}
	for range 10_000 {
		changed := mutate(rng, honest)
		if bytes.Equal(changed, honest) {
			continue
		}
		got, err := x.Verify(changed)
		if err == nil {
			t.Errorf("a changed sitting is accepted; same marks: %v", sameMarks(got, want))
			continue
		}
		codes[exam.AsRefusal(err).Code]++
	}
	t.Log(codes)
	if codes[exam.CandidateSignature] < 1000 {
		t.Error("hardly any change got as far as the signature: the test proves little")
	}
}

// A candidate who changes the log and signs it again is caught by the chain; one who chains it anew too,
// by carrying the actions out.
func TestResignedMutations(t *testing.T) {
	d := sealed(t, nil)
	x := d.examiner(t)
	honest := d.honest(t, "ALFA", 4)
	key := keyOf(d.packet(t, "ALFA"))
	first := slices.IndexFunc(must(exam.Decode(honest)).Log, func(e exam.Event) bool { return e.Kind == exam.KindAction })
	rng := rand.New(rand.NewPCG(3, 4))
	codes := map[exam.Code]int{}
	for n := range 140 {
		e := must(exam.Decode(honest))
		at := first + rng.IntN(4)
		switch rng.IntN(7) {
		case 0:
			e.Log = slices.Delete(e.Log, at, at+1)
		case 1:
			e.Log = slices.Insert(e.Log, at, e.Log[first+rng.IntN(4)])
		case 2:
			e.Log[at].Elapsed++
		case 3:
			e.Log[at].State = exam.Digest([]byte{byte(n)})
		case 4:
			a := *e.Log[at].Action
			a.Stop, a.Depth, a.Volume = a.Stop+100, a.Depth+100, a.Volume+100
			e.Log[at].Action = &a
		case 5:
			m := &e.Cases[0].Outcome.Metrics[rng.IntN(len(e.Cases[0].Outcome.Metrics))]
			m.Value += 0.000001
		default:
			e.Cases[0].Marks.Total += 0.5
		}
		if n%2 == 0 {
			e = e.Rechained()
		}
		if _, err := x.Verify(must(e.Resigned(key))); err == nil {
			t.Errorf("change %d, chained anew %v: accepted", n, n%2 == 0)
		} else {
			codes[exam.AsRefusal(err).Code]++
		}
	}
	t.Log(codes)
	for _, code := range []exam.Code{exam.ChainBroken, exam.LogGap, exam.AlteredAction, exam.AlteredOutcome, exam.AlteredMarks} {
		if codes[code] == 0 {
			t.Errorf("nothing was refused as %s", code)
		}
	}
}
