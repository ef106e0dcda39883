package cli

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/attempt"
	"tugback/internal/cohort"
	"tugback/internal/exam"
	"tugback/internal/marking"
)

// hall is who verifies sittings, and why nobody does when there is no paper.
type hall struct {
	examiner *exam.Examiner
	papers   []exam.Paper
}

// openHall reads the papers that sittings are of: those named, else the one that lies where seal puts it,
// in the folder or beside it.
func openHall(folder string, names []string) (*hall, error) {
	if len(names) == 0 {
		for _, usual := range []string{"paper.json", "instructor/paper.json", "../instructor/paper.json"} {
			path := filepath.Join(folder, filepath.FromSlash(usual))
			if info, err := os.Stat(path); err == nil && info.Mode().IsRegular() {
				names = []string{path}
				break
			}
		}
	}
	h := &hall{}
	for _, name := range names {
		data, err := readRecord(name)
		if err != nil {
			return nil, refusal(name, err)
		}
		paper, err := exam.DecodePaper(data)
		if err != nil {
			return nil, refusal(name, err)
		}
		h.papers = append(h.papers, paper)
	}
	var err error
	h.examiner, err = exam.NewExaminer(h.papers...)
	return h, err
}

// verify verifies a sitting; without any paper it says how to name one.
func (h *hall) verify(data []byte) (*exam.Verified, error) {
	v, err := h.examiner.Verify(data)
	if r := exam.AsRefusal(err); r != nil && r.Code == exam.UnknownPaper && len(h.papers) == 0 {
		r.Reason += "; name the instructor's paper with --paper"
	}
	return v, err
}

// kindOf returns the schema of a paper, a packet or a sitting, "" for a record. A damaged sitting is known by
// its name or by how it begins; where there are papers, whatever is no record is taken for a sitting.
func (h *hall) kindOf(name string, data []byte) string {
	schema := exam.SchemaOf(data)
	switch {
	case schema == exam.PaperSchema || schema == exam.PacketSchema || schema == exam.ExportSchema:
		return schema
	case bytes.HasPrefix(data, []byte(`{"actions":`)): // the first word of a record
		return ""
	case len(h.papers) > 0, strings.HasSuffix(name, ".sitting.json"), bytes.HasPrefix(data, []byte(`{"answers":`)):
		return exam.ExportSchema
	}
	return ""
}

// sealedFile looks at a paper or packet that lies among what was handed in: it is refused when it is not as it
// was sealed, and else left out.
func sealedFile(name, kind string, data []byte) handedIn {
	var err error
	if kind == exam.PacketSchema {
		_, err = exam.DecodePacket(data)
	} else {
		_, err = exam.DecodePaper(data)
	}
	if r := exam.AsRefusal(err); r != nil {
		return handedIn{refused: &cohort.Refused{File: name, Class: string(r.Code), Reason: r.Reason}, isExam: true}
	}
	return handedIn{paper: true}
}

// readSitting verifies a sitting and makes it one of the class; with other rules its cases are marked by
// them.
func (h *hall) readSitting(name string, data []byte, again remarker) handedIn {
	v, err := h.verify(data)
	if err != nil {
		refused := cohort.Refused{File: name, Class: "cannot-be-read", Reason: err.Error()}
		if r := exam.AsRefusal(err); r != nil {
			refused.Class, refused.Reason = string(r.Code), strings.Join(append([]string{r.Reason}, r.Lines()[1:]...), "; ")
		}
		return handedIn{refused: &refused, isExam: true}
	}
	sitting := cohort.Sitting{File: name, Digest: exam.Digest(data), Size: len(data), Paper: v.Export.Paper, Candidate: v.Export.Candidate,
		Engine: v.Export.Engine, Started: v.Started, Ended: v.Ended}
	for _, t := range v.Cases {
		one, err := sittingCase(t, again)
		if err != nil {
			return handedIn{refused: &cohort.Refused{File: name, Class: "cannot-be-marked", Reason: err.Error()}, isExam: true}
		}
		sitting.Cases = append(sitting.Cases, one)
	}
	for _, a := range v.Answers {
		sitting.Answers = append(sitting.Answers, cohort.Answer{Item: a.Item, Given: a.Given, Response: a.Response, Result: a.Result,
			Points: a.Points, Available: a.Available, At: a.At})
	}
	v.Cases, v.Answers, v.Export.Log = nil, nil, nil // large, and done with
	return handedIn{sitting: sitting, exam: v, isExam: true}
}

// sittingCase makes a case of the class out of a verified one.
func sittingCase(t exam.Treated, again remarker) (cohort.Case, error) {
	seed, err := strconv.ParseUint(t.Case.Seed, 10, 64)
	if err != nil {
		return cohort.Case{}, err
	}
	record := t.Run.Close()
	one := cohort.Case{ID: t.Case.Name, Title: t.Case.Title, Scenario: t.Case.Name, Digest: t.Case.Digest, Seed: seed,
		Pass: t.Case.Pass, Marks: t.Marks, Actions: record.Actions}
	if last, begun := t.Run.Last(); begun {
		one.Elapsed = last.Elapsed
	}
	title, paper := t.Case.Title, t.Paper
	one.Draw = func() (cohort.Pictures, error) {
		return draw(title, paper, attempt.Record{Actions: record.Actions})
	}
	if again == nil {
		return one, nil
	}
	from, err := t.Case.Scenario()
	if err != nil {
		return one, err
	}
	marker, pass, err := again(from)
	if err != nil {
		return one, err
	}
	one.Marks = marker.Mark(marking.Facts{Outcome: t.Run.Outcome(), Actions: t.Run.Actions(), Events: t.Run.Events()})
	one.Pass = pass
	return one, nil
}

// withoutPapers leaves out papers and packets that lie among what was handed in.
func withoutPapers(all []handedIn, names []string) ([]handedIn, []string) {
	var kept []handedIn
	var of []string
	for i, one := range all {
		if !one.paper {
			kept, of = append(kept, one), append(of, names[i])
		}
	}
	return kept, of
}

// oneAttempt refuses a file of an attempt that another is of, and of several attempts of a candidate all but
// the last.
func oneAttempt(all []handedIn) {
	verified := make([]*exam.Verified, len(all))
	for i := range all {
		verified[i] = all[i].exam
	}
	repeats := exam.Repeats(verified)
	last := map[string]int{}
	who := func(v *exam.Verified) string { return v.Export.Paper + "|" + v.Export.Candidate }
	for i, v := range verified {
		if v == nil {
			continue
		}
		if repeats[i] != nil {
			all[i] = handedIn{refused: &cohort.Refused{File: all[i].sitting.File, Class: string(repeats[i].Code), Reason: repeats[i].Reason}, isExam: true}
			continue
		}
		last[who(v)] = max(last[who(v)], v.Export.Attempt)
	}
	for i, one := range all {
		if one.exam != nil && one.exam.Export.Attempt < last[who(one.exam)] {
			all[i] = handedIn{refused: &cohort.Refused{File: one.sitting.File, Class: "earlier-attempt",
				Reason: fmt.Sprintf("attempt %d counts", last[who(one.exam)])}, isExam: true}
		}
	}
}

// onePaper returns the paper that all sittings are of, and whether there is one.
func onePaper(sittings []cohort.Sitting) (string, bool) {
	if len(sittings) == 0 || sittings[0].Paper == "" {
		return "", false
	}
	id := sittings[0].Paper
	return id, !slices.ContainsFunc(sittings, func(s cohort.Sitting) bool { return s.Paper != id })
}
