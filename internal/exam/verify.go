package exam

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"time"

	"tugback/internal/attempt"
	"tugback/internal/marking"
	"tugback/internal/quiz"
)

// Examiner verifies sittings of some papers. It is never changed and may be used by several at once.
type Examiner struct {
	papers map[string]*held
}

// held is a paper with its cases compiled: by the rules that the candidates have, and by the paper's.
type held struct {
	paper  Paper
	seen   []mould
	marked []mould
}

// NewExaminer returns an examiner for papers as DecodePaper reads them, each of another id.
func NewExaminer(papers ...Paper) (*Examiner, error) {
	x := &Examiner{papers: map[string]*held{}}
	for _, p := range papers {
		if x.papers[p.ID] != nil {
			return nil, fmt.Errorf("two papers have the id %s", p.ID)
		}
		h := &held{paper: p}
		for _, c := range p.Cases {
			full, err := c.compile()
			if err != nil {
				return nil, err
			}
			bare := full
			if !p.Terms.Sees(SeeMarks) {
				if bare.marker, _ = marking.Compile(nil); bare.marker == nil {
					panic("exam: no rules do not compile")
				}
			}
			h.seen, h.marked = append(h.seen, bare), append(h.marked, full)
		}
		x.papers[p.ID] = h
	}
	return x, nil
}

// Paper returns the paper of an id, and whether it is held.
func (x *Examiner) Paper(id string) (Paper, bool) {
	h := x.papers[id]
	if h == nil {
		return Paper{}, false
	}
	return h.paper, true
}

// Verified is a sitting that stood verification, marked by its paper's rules.
type Verified struct {
	Export  Export
	Cases   []Treated
	Answers []Answered // for every question of the packet
	Started time.Time  // as the candidate's machine noted
	Ended   time.Time  // Started and all that passed since, so never before it
	UsedMs  int64      // rests left out
	Notes   []string   // about the clock and resuming
	clocks  []int64    // of each line: when it was written, ms since 1970, never running back

	Points, Available float64
}

// Treated is a case of a verified sitting.
type Treated struct {
	Case  Case // of the paper, with rules and the candidate's seed
	Run   *attempt.Run
	Paper attempt.Paper // grown and compiled with the paper's rules
	Marks marking.Marks // by them
}

// Answered is a question of a verified sitting.
type Answered struct {
	Item      quiz.Item // with its key
	Given     bool
	Response  quiz.Response // options by the item's own ids
	Result    quiz.Result   // zero when not given
	Points    float64
	Available float64
	At        time.Time // of the last answer
}

// Verify reads an export, carries every action out again, marks the questions, and returns what it is
// worth. The error is a *Refusal: the first reason found, in the order of Codes. Checked by
// TestSitting, TestRefusalFiles and TestMutations.
func (x *Examiner) Verify(data []byte) (*Verified, error) {
	e, err := Decode(data)
	if err != nil {
		return nil, err
	}
	v, refused := x.verify(e)
	if refused != nil {
		return nil, refused
	}
	return v, nil
}

func (x *Examiner) verify(e Export) (*Verified, *Refusal) {
	h := x.papers[e.Paper]
	if h == nil {
		return nil, refuse(UnknownPaper, "it is of the paper %s, which is not here", e.Paper)
	}
	packet, refused := h.own(&e)
	if refused != nil {
		return nil, refused
	}
	v := &Verified{Export: e}
	if refused := v.times(packet); refused != nil {
		return nil, refused
	}
	if refused := v.answers(h, packet); refused != nil {
		return nil, refused
	}
	if refused := v.rerun(h, packet); refused != nil {
		return nil, refused
	}
	for _, c := range v.Cases {
		v.Points, v.Available = v.Points+c.Marks.Total, v.Available+c.Marks.Available
	}
	for _, a := range v.Answers {
		v.Points, v.Available = v.Points+a.Points, v.Available+a.Available
	}
	return v, nil
}

// own returns the candidate's packet, or why the export is not of it.
func (h *held) own(e *Export) (Packet, *Refusal) {
	c := h.paper.candidate(e.Candidate)
	if c == nil {
		return Packet{}, refuse(WrongCandidate, "the paper %s has no candidate %s", e.Paper, e.Candidate)
	}
	packet, err := h.paper.unsigned(e.Candidate)
	if err != nil {
		return Packet{}, refuse(WrongCandidate, "%v", err)
	}
	digest, err := packet.Digest()
	switch {
	case err != nil:
		return Packet{}, refuse(WrongPaper, "%v", err)
	case digest != e.Packet:
		sat, given := attempt.Part(e.Packet, digest)
		return Packet{}, refuse(WrongPaper, "it was sat on the packet %s, candidate %s was given %s", sat, e.Candidate, given)
	case e.Key != c.PublicKey:
		signed, held := attempt.Part(e.Key, c.PublicKey)
		return Packet{}, refuse(WrongKey, "it is signed by the key %s, the packet of candidate %s holds %s", signed, e.Candidate, held)
	case e.Attempt > h.paper.Terms.Attempts:
		return Packet{}, refuse(TooManyAttempts, "it is attempt %d, the paper allows %d", e.Attempt, h.paper.Terms.Attempts)
	}
	return packet, nil
}

// times holds the log against window, limit, rests and what may be seen.
func (v *Verified) times(packet Packet) *Refusal {
	log, terms := v.Export.Log, packet.Terms
	m := meter{rest: int64(packet.RestS) * 1000}
	if start := log[0].Wall; start < terms.FromS*1000 || terms.UntilS > 0 && start > terms.UntilS*1000 {
		return refuseAt(OutsideWindow, 0, "it began at %s, the paper was open %s", stamp(start), terms.window())
	}
	limit := int64(packet.LimitS) * 1000
	for i, line := range log {
		m.take(line)
		v.clocks = append(v.clocks, m.clock)
		if line.Kind == KindLook && !terms.Sees(line.Note) {
			return refuseAt(ForbiddenSight, i, "line %d of the log: %.40q was looked at, which the paper does not allow", i+1, line.Note)
		}
		if line.Kind != KindAction && line.Kind != KindAnswer && line.Kind != KindLook {
			continue
		}
		switch {
		case m.resting:
			return refuseAt(OverTime, i, "line %d of the log was done during a rest", i+1)
		case limit > 0 && m.used > limit+allowed:
			return refuseAt(OverTime, i, "line %d of the log was done %d s after the time was over", i+1, (m.used-limit)/1000)
		case terms.UntilS > 0 && m.clock > terms.UntilS*1000+allowed:
			return refuseAt(OutsideWindow, i, "line %d of the log was done at %s, the paper was open %s", i+1, stamp(m.clock), terms.window())
		}
	}
	v.Started, v.Ended = time.UnixMilli(log[0].Wall).UTC(), time.UnixMilli(m.clock).UTC()
	v.UsedMs, v.Notes = m.used, m.notes
	return nil
}

// window says when a paper is open.
func (t Terms) window() string {
	text := "always"
	if t.FromS > 0 {
		text = "from " + stamp(t.FromS*1000)
	}
	if t.UntilS > 0 {
		text += " until " + stamp(t.UntilS*1000)
	}
	return text
}

// answers marks the questions, and refuses answers that no sitting could have taken.
func (v *Verified) answers(h *held, packet Packet) *Refusal {
	last, at := map[string]quiz.Response{}, map[string]time.Time{}
	for i, line := range v.Export.Log {
		if line.Kind != KindAnswer {
			continue
		}
		n := slices.IndexFunc(packet.Items, func(s Shown) bool { return s.Item.ID == line.Item })
		if n < 0 {
			return refuseAt(AlteredAnswer, i, "line %d of the log answers the question %.60q, which was not asked", i+1, line.Item)
		}
		if err := packet.Items[n].Fit(*line.Answer); err != nil {
			return refuseAt(AlteredAnswer, i, "line %d of the log: %v", i+1, err)
		}
		last[line.Item], at[line.Item] = *line.Answer, time.UnixMilli(v.clocks[i]).UTC()
	}
	if refused := sameAnswers(v.Export.Answers, lastAnswers(packet, last)); refused != nil {
		return refused
	}
	for _, shown := range packet.Items {
		item := h.paper.item(shown.Item.ID)
		a := Answered{Item: item.Item, Available: item.Points}
		if r, given := last[item.Item.ID]; given {
			a.Given, a.At, a.Response = true, at[item.Item.ID], h.paper.translate(item.Item, packet.Candidate, r)
			var err error
			if a.Result, err = quiz.Mark(item.Item, a.Response); err != nil {
				return refuse(AlteredAnswer, "%v", err)
			}
			a.Points = millionth(item.Points * a.Result.Credit)
		}
		v.Answers = append(v.Answers, a)
	}
	return nil
}

// sameAnswers refuses a list of last answers that is not the one that the log gives.
func sameAnswers(got, want []Answer) *Refusal {
	for i := range max(len(got), len(want)) {
		switch {
		case i >= len(got):
			return refuse(AlteredAnswer, "the answer to %s stands in the log but not in the list of answers", want[i].Item)
		case i >= len(want) || got[i].Item != want[i].Item:
			return refuse(AlteredAnswer, "the list of answers has one to %.60q where the log has none", got[i].Item)
		}
		if same, err := sameResponse(got[i].Response, want[i].Response); err != nil || !same {
			return refuse(AlteredAnswer, "the answer to %s in the list is not the last one in the log", got[i].Item)
		}
	}
	return nil
}

// rerun carries the actions out again and marks them.
func (v *Verified) rerun(h *held, packet Packet) *Refusal {
	if len(v.Export.Cases) != len(packet.Cases) {
		return refuse(WrongCase, "it has %d cases, the paper gave %d", len(v.Export.Cases), len(packet.Cases))
	}
	for i, line := range v.Export.Log {
		if line.Case >= max(1, len(packet.Cases)) || line.Kind == KindAction && len(packet.Cases) == 0 {
			return refuseAt(WrongCase, i, "line %d of the log is about case %d, the paper gave %d", i+1, line.Case+1, len(packet.Cases))
		}
	}
	given := h.paper.candidate(packet.Candidate).Cases
	for n, c := range packet.Cases {
		if r := v.Export.Cases[n]; r.Name != c.Name || r.Seed != c.Seed {
			return refuse(WrongCase, "case %d is %.60q of seed %.20s, the paper gave %q of seed %s", n+1, r.Name, r.Seed, c.Name, c.Seed)
		}
		t, refused := v.Export.treat(n, h.seen[given[n].Case], h.marked[given[n].Case], c.Seed)
		if refused != nil {
			return refused
		}
		v.Cases = append(v.Cases, t)
	}
	return nil
}

// treat carries one case out again.
func (e *Export) treat(n int, seen, marked mould, seed string) (Treated, *Refusal) {
	paper, err := seen.grow(seed)
	if err != nil {
		return Treated{}, refuse(WrongCase, "%v", err)
	}
	run, refused := attempt.Rerun(e.record(n, paper), paper)
	if refused != nil {
		return Treated{}, e.explain(n, refused)
	}
	paper.Marker = marked.marker
	out := Treated{Case: marked.of, Run: run, Paper: paper}
	out.Case.Seed = seed
	out.Marks = marked.marker.Mark(marking.Facts{Outcome: run.Outcome(), Actions: run.Actions(), Events: run.Events()})
	return out, nil
}

// explain says the refusal of a case's record as one of the sitting.
func (e *Export) explain(n int, from *attempt.Refusal) *Refusal {
	code := map[attempt.Class]Code{attempt.ActionRefused: ActionRefused, attempt.CheckpointDiffers: AlteredAction,
		attempt.OutcomeDiffers: AlteredOutcome, attempt.MarksDiffer: AlteredMarks, attempt.DigestDiffers: AlteredOutcome}[from.Class]
	if code == "" {
		code = OutOfBounds
	}
	r := refuse(code, "case %d (%s): %s", n+1, e.Cases[n].Name, from.Reason)
	r.Case, r.Action, r.Differences = n, from.Action, from.Differences
	seen := -1
	for i, line := range e.Log {
		if line.Kind == KindAction && line.Case == n {
			if seen++; seen == from.Action {
				r.Line = i
			}
		}
	}
	return r
}

// Judge verifies what a class server was handed in, with the packet that it keeps for the candidate; it
// returns the points as text. The error begins with a code. Checked by TestJudge.
func (x *Examiner) Judge(packet, export []byte) (string, error) {
	v, err := x.Verify(export)
	if err != nil {
		return "", err
	}
	kept, err := DecodePacket(packet)
	if err != nil {
		return "", err
	}
	if digest, err := kept.Digest(); err != nil || digest != v.Export.Packet || kept.Candidate != v.Export.Candidate {
		sat, given := attempt.Part(v.Export.Packet, digest)
		return "", refuse(WrongPaper, "it was sat on the packet %s, the server gave this candidate %s", sat, given)
	}
	return strconv.FormatFloat(v.Points, 'g', -1, 64), nil
}

// Repeats looks for sittings of the same attempt: for each of a list (nil where a file was refused) it
// returns a refusal when an earlier one is of the same paper, candidate and attempt. Which one counts is
// for people to say. Checked by TestRepeats.
func Repeats(all []*Verified) []*Refusal {
	out := make([]*Refusal, len(all))
	first := map[string]int{}
	for i, v := range all {
		if v == nil {
			continue
		}
		key := fmt.Sprintf("%s|%s|%d", v.Export.Paper, v.Export.Candidate, v.Export.Attempt)
		at, known := first[key]
		if !known {
			first[key] = i
			continue
		}
		out[i] = refuse(Duplicate, "another file is of attempt %d of candidate %s too, with %s", v.Export.Attempt, v.Export.Candidate,
			map[bool]string{true: "the same content", false: "other content"}[all[at].Export.Signature == v.Export.Signature])
	}
	return out
}

// AsRefusal returns the refusal in an error, nil when there is none.
func AsRefusal(err error) *Refusal {
	var r *Refusal
	if errors.As(err, &r) {
		return r
	}
	return nil
}
