package cli

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"

	"tugback/internal/attempt"
	"tugback/internal/cohort"
	"tugback/internal/exam"
	"tugback/internal/marking"
	"tugback/internal/picture"
	"tugback/internal/scenario"
)

// mostHandedIn is the most files of a folder that are read as a class.
const mostHandedIn = 20_000

// handedIn is one file after verification: what it holds, or why it is refused.
type handedIn struct {
	sitting cohort.Sitting
	refused *cohort.Refused
	exam    *exam.Verified // of a sitting of a paper
	isExam  bool           // a sitting of a paper, refused or not
	paper   bool           // a paper or packet lying there too, not something handed in
}

// remarker gives the rules by which a case is to be marked; nil: its own.
type remarker func(scenario.Scenario) (*marking.Marker, float64, error)

// filesIn returns the records of a folder, sorted by name. Files whose name begins with a point are left out.
func filesIn(folder string) ([]string, error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", folder, cause(err))
	}
	var names []string
	for _, e := range entries {
		if !e.IsDir() && strings.HasSuffix(e.Name(), ".json") && !strings.HasPrefix(e.Name(), ".") {
			names = append(names, e.Name())
		}
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("%s: holds no .json file", folder)
	}
	if len(names) > mostHandedIn {
		return nil, fmt.Errorf("%s: holds %d files; at most %d are read as a class", folder, len(names), mostHandedIn)
	}
	slices.Sort(names)
	return names, nil
}

// inParallel does n things on all processors and counts on the bar. The order in which they are done does not
// matter, each writes to its own place.
func (s *session) inParallel(when string, what string, n int, do func(i int)) {
	bar := s.progress(when, n)
	bar.Describe(what)
	next := make(chan int)
	var wait sync.WaitGroup
	for range min(runtime.NumCPU(), n) {
		wait.Go(func() {
			for i := range next {
				do(i)
				bar.Add(1) //nolint:errcheck // a bar that cannot be drawn harms nobody
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wait.Wait()
	bar.Finish() //nolint:errcheck // as above
}

// readRecords verifies every record and every sitting of a paper in a folder. A record is one treatment; its name before the first point
// is the candidate, and records of the same candidate make one sitting. A sitting with a refused record is
// refused as a whole, since a gradebook must not count part of it.
func (s *session) readRecords(folder, progress string, papers []string, again remarker) ([]cohort.Sitting, []cohort.Refused, error) {
	names, err := filesIn(folder)
	if err != nil {
		return nil, nil, err
	}
	hall, err := openHall(folder, papers)
	if err != nil {
		return nil, nil, err
	}
	all := make([]handedIn, len(names))
	s.inParallel(progress, "verifying", len(names), func(i int) { all[i] = s.readOne(folder, names[i], hall, again) })
	all, names = withoutPapers(all, names)
	if len(names) == 0 {
		return nil, nil, fmt.Errorf("%s: nothing was handed in: there is no record and no sitting of an exam in it", folder)
	}
	oneAttempt(all)
	var refused []cohort.Refused
	spoilt := map[string]string{}
	for i, one := range all {
		if one.refused != nil {
			refused = append(refused, *one.refused)
			if !one.isExam {
				spoilt[candidateOf(names[i])] = names[i]
			}
		}
	}
	by := map[string]*cohort.Sitting{}
	var order []string
	var sittings []cohort.Sitting // exams; then records
	for i, one := range all {
		if one.refused != nil {
			continue
		}
		id := candidateOf(names[i])
		if one.exam != nil {
			sittings = append(sittings, one.sitting)
			continue
		}
		if bad := spoilt[id]; bad != "" {
			refused = append(refused, cohort.Refused{File: names[i], Class: "sitting-incomplete", Reason: "another record of the same candidate is refused: " + bad})
			continue
		}
		if by[id] != nil && slices.ContainsFunc(by[id].Cases, func(c cohort.Case) bool { return c.ID == one.sitting.Cases[0].ID }) {
			refused = append(refused, cohort.Refused{File: names[i], Class: "case-twice", Reason: "another record of the same candidate is about this case too; the first by name counts"})
			continue
		}
		if by[id] == nil {
			fresh := one.sitting
			by[id], order = &fresh, append(order, id)
			continue
		}
		join(by[id], one.sitting)
	}
	for _, id := range order {
		sittings = append(sittings, *by[id])
	}
	return sittings, refused, nil
}

// candidateOf returns the candidate of a record by its name.
func candidateOf(name string) string {
	id, _, _ := strings.Cut(name, ".")
	return id
}

// join adds a further record to a sitting. The digest is then over the digests of all files.
func join(to *cohort.Sitting, more cohort.Sitting) {
	sum := sha256.Sum256([]byte(to.Digest + more.Digest))
	to.File += " " + more.File
	to.Digest, to.Size = hex.EncodeToString(sum[:]), to.Size+more.Size
	to.Cases = append(to.Cases, more.Cases...)
	slices.SortStableFunc(to.Cases, func(a, b cohort.Case) int { return cmp.Compare(a.ID, b.ID) })
}

// readOne verifies one record and, when asked, marks it again.
func (s *session) readOne(folder, name string, h *hall, again remarker) handedIn {
	refuse := func(err error) handedIn {
		refused := cohort.Refused{File: name, Class: "cannot-be-read", Reason: err.Error()}
		var known *attempt.Refusal
		if errors.As(err, &known) {
			refused.Class, refused.Reason = string(known.Class), strings.Join(append([]string{known.Reason}, known.Lines()[1:]...), "; ")
		}
		return handedIn{refused: &refused}
	}
	data, err := readRecord(filepath.Join(folder, name))
	if err != nil {
		return refuse(err)
	}
	switch kind := h.kindOf(name, data); kind {
	case exam.PaperSchema, exam.PacketSchema:
		return sealedFile(name, kind, data)
	case exam.ExportSchema:
		return h.readSitting(name, data, again)
	}
	record, err := attempt.Decode(data)
	if err != nil {
		return refuse(err)
	}
	from, err := s.recordScenario(record.Scenario.Name, true)
	if err != nil {
		return refuse(err)
	}
	grown, err := from.Case(record.Seed)
	if err != nil {
		return refuse(err)
	}
	paper := attempt.Paper{Case: grown, Marker: from.Marker()}
	if refused := attempt.Verify(record, paper); refused != nil {
		return refuse(refused)
	}
	sum := sha256.Sum256(data)
	sitting := cohort.Sitting{File: name, Digest: hex.EncodeToString(sum[:]), Size: len(data), Candidate: candidateOf(name), Engine: record.Engine}
	one, err := newCase(from, record, paper, again)
	if err != nil {
		return refuse(err)
	}
	sitting.Cases = []cohort.Case{one}
	return handedIn{sitting: sitting}
}

// newCase makes a case of a verified record; with other rules it is marked by them.
func newCase(from scenario.Scenario, record attempt.Record, paper attempt.Paper, again remarker) (cohort.Case, error) {
	one := cohort.Case{ID: from.Name(), Title: from.Title(), Scenario: from.Name(), Digest: record.Scenario.Digest, Seed: record.Seed,
		Pass: from.PassMark(), Marks: record.Marks, Actions: record.Actions}
	if n := len(record.Checkpoints); n > 0 {
		one.Elapsed = record.Checkpoints[n-1].Elapsed
	}
	one.Draw = func() (cohort.Pictures, error) { return draw(from.Title(), paper, record) }
	if again == nil {
		return one, nil
	}
	marker, pass, err := again(from)
	if err != nil {
		return one, err
	}
	run, err := attempt.Treat(paper, record.Actions)
	if err != nil {
		return one, err
	}
	one.Marks = marker.Mark(marking.Facts{Outcome: run.Outcome(), Actions: run.Actions(), Events: run.Events()})
	one.Pass = pass
	return one, nil
}

// draw carries a record out again and draws its plate and its plot by level; a tooth without shaped canals has
// no plot.
func draw(title string, paper attempt.Paper, record attempt.Record) (cohort.Pictures, error) {
	run, err := attempt.Treat(paper, record.Actions)
	if err != nil {
		return cohort.Pictures{}, err
	}
	plate, err := picture.TreatmentPlate(run.State(), run.Events(), picture.Options{Title: title, Before: true})
	if err != nil {
		return cohort.Pictures{}, err
	}
	var first, second strings.Builder
	if err := plate.SVG(&first); err != nil {
		return cohort.Pictures{}, err
	}
	var rows []picture.LevelRow
	state := run.State()
	for k, c := range state.Canals {
		if levels := state.Levels(k); len(levels) > 1 {
			rows = append(rows, picture.LevelRow{Name: c.Name, Levels: levels})
		}
	}
	if len(rows) == 0 {
		return cohort.Pictures{Plate: first.String()}, nil
	}
	plot, err := picture.LevelPlot(rows, picture.Options{Title: title})
	if err != nil {
		return cohort.Pictures{Plate: first.String()}, err
	}
	if err := plot.SVG(&second); err != nil {
		return cohort.Pictures{}, err
	}
	return cohort.Pictures{Plate: first.String(), Levels: second.String()}, nil
}
