package exam_test

import (
	"testing"

	"tugback/internal/exam"
	"tugback/internal/specimen"
)

// molar returns a paper of one molar and the export of its careful treatment by plan.
func molar(t testing.TB) (desk, []byte) {
	t.Helper()
	d := sealed(t, func(p *exam.Paper) {
		p.ID, p.Items = "molar-2030", nil
		p.Cases = specimen.Cases(t, "lower-first-molar")
	})
	w := newWatch()
	s := must(exam.Begin(d.packet(t, "ALFA"), 1, exam.Options{Clock: w.read}))
	for _, a := range specimen.Plan(t, "lower-first-molar.careful").Steps {
		w.pass(10)
		_, _ = s.Do(0, a) // what is refused on this tooth is left out
	}
	return d, must(s.Submit())
}

// BenchmarkVerifyMolar is the time one core takes to verify a molar; a class of 1,000 in three minutes on
// two cores leaves 360 ms.
func BenchmarkVerifyMolar(b *testing.B) {
	d, export := molar(b)
	x := d.examiner(b)
	n := 0
	for b.Loop() {
		n = len(must(x.Verify(export)).Cases[0].Run.Actions())
	}
	b.ReportMetric(float64(n), "actions")
}
