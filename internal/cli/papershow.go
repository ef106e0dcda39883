package cli

import (
	"bytes"
	"crypto/ed25519"
	"crypto/rand"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"tugback/internal/attempt"
	"tugback/internal/exam"
	"tugback/internal/marking"
	"tugback/internal/treatment"
	"tugback/internal/trial"
)

// examCase is a grown case with its rules.
type examCase = attempt.Paper

// markOf marks what an operator did.
func markOf(p examCase, done trial.Treated) marking.Marks {
	return p.Marker.Mark(marking.Facts{Outcome: treatment.MeasureOutcome(done.State), Actions: done.Actions, Events: done.Events})
}

// instructorKey is the file of an instructor's key.
type instructorKey struct {
	Schema string `json:"schema"`
	Seed   string `json:"seed"`       // hex; whoever has it can sign as this instructor
	Public string `json:"public_key"` // hex
}

const keySchema = "tugback-key-1"

// key reads the instructor's key, or draws a new one.
func (c *paperSeal) key() (ed25519.PrivateKey, error) {
	if c.Key == "" {
		_, key, err := ed25519.GenerateKey(rand.Reader)
		return key, err
	}
	text, err := os.ReadFile(c.Key)
	if err != nil {
		return nil, fmt.Errorf("--key %s: %w", c.Key, cause(err))
	}
	var file instructorKey
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&file); err != nil || file.Schema != keySchema {
		return nil, fmt.Errorf("--key %s: is no instructor's key; a paper's is in instructor/key.json", c.Key)
	}
	seed, err := hex.DecodeString(file.Seed)
	if err != nil || len(seed) != ed25519.SeedSize {
		return nil, fmt.Errorf("--key %s: the seed is not 64 hexadecimal digits", c.Key)
	}
	key := ed25519.NewKeyFromSeed(seed)
	if exam.PublicKey(key) != file.Public {
		return nil, fmt.Errorf("--key %s: the public key does not belong to the seed", c.Key)
	}
	return key, nil
}

// Run reads, draws, tries, signs, and writes the folder.
func (c *paperSeal) Run(s *session) error {
	list, err := readEnrolled(c.Roster)
	if err != nil {
		return err
	}
	plan, err := c.plan()
	if err != nil {
		return err
	}
	paper, err := s.unsealed(plan)
	if err == nil {
		err = enter(&paper, plan, list)
	}
	if err != nil {
		return err
	}
	key, err := c.key()
	if err != nil {
		return err
	}
	try, err := c.trial(s, plan)
	if err != nil {
		return err
	}
	secret := make([]byte, 32)
	_, _ = rand.Read(secret) // it never fails
	if paper, err = exam.Seal(paper, exam.Sealing{Secret: secret, Key: key, Trial: try}); err != nil {
		return err
	}
	files, err := sealedFiles(paper, key, list)
	if err != nil {
		return err
	}
	if err := files.write(c.Out); err != nil {
		return err
	}
	tellPaper(page{s.out}, paper)
	fmt.Fprintf(s.out, "\n  %s stays with you: rules, keys of the quiz, names\n  %s holds one packet for each candidate\n",
		filepath.Join(c.Out, "instructor"), filepath.Join(c.Out, "candidates"))
	fmt.Fprintf(s.out, "\n  A candidate sits a packet with: tugback paper sit %s\n", exam.PacketFile(paper.Candidates[0].ID))
	return nil
}

// classUpload is what a class server is given of a paper.
type classUpload struct {
	Paper      string           `json:"paper"`
	Title      string           `json:"title"`
	Candidates []classCandidate `json:"candidates"`
}

type classCandidate struct {
	ID     string          `json:"id"`
	Token  string          `json:"token"`
	Packet json.RawMessage `json:"packet"`
	Opens  int64           `json:"opens"`
	Closes int64           `json:"closes"`
}

// sealedFiles makes all files of a sealed paper.
func sealedFiles(paper exam.Paper, key ed25519.PrivateKey, list []enrolled) (*folder, error) {
	files := &folder{private: "instructor"}
	text := func(data []byte) func(io.Writer) error {
		return func(w io.Writer) error { _, err := w.Write(data); return err }
	}
	whole, err := paper.Encode()
	if err != nil {
		return nil, err
	}
	files.add("instructor/paper.json", text(whole))
	own, err := json.Marshal(instructorKey{keySchema, hex.EncodeToString(key.Seed()), exam.PublicKey(key)})
	if err != nil {
		return nil, err
	}
	files.add("instructor/key.json", text(own))
	upload := classUpload{Paper: paper.ID, Title: paper.Title}
	tokens := make([]string, len(list))
	for i, one := range list {
		packet, err := paper.Packet(one.ID, key)
		if err != nil {
			return nil, err
		}
		data, err := packet.Encode()
		if err != nil {
			return nil, err
		}
		files.add("candidates/"+exam.PacketFile(one.ID), text(data))
		tokens[i] = rand.Text()
		upload.Candidates = append(upload.Candidates, classCandidate{one.ID, tokens[i], data, paper.Terms.FromS, paper.Terms.UntilS})
	}
	class, err := json.Marshal(upload)
	if err != nil {
		return nil, err
	}
	files.add("instructor/class.json", text(class))
	files.add("instructor/roster.csv", rosterCSV(list, tokens))
	return files, nil
}

// tellPaper prints what a paper holds, for the instructor.
func tellPaper(p page, paper exam.Paper) {
	p.title(paper.Title)
	rows := [][]string{{"paper", paper.ID}, {"candidates", whole(uint64(len(paper.Candidates)))}} //nolint:gosec // counts
	if n := len(paper.Cases); n > 0 {
		each := len(paper.Candidates[0].Cases)
		rows = append(rows, []string{"cases", fmt.Sprintf("%d, each candidate %d", n, each)})
	}
	if mark := paper.Blueprint.Mark; len(mark) > 0 {
		rows = append(rows, []string{"steps that count", strings.Join(mark, ", ")})
	}
	if n := len(paper.Items); n > 0 {
		drawn := "the same for all"
		if paper.Blueprint.PerCandidate {
			drawn = "drawn for each"
		}
		rows = append(rows, []string{"questions", fmt.Sprintf("%d of %d, %s", len(paper.Candidates[0].Items), n, drawn)})
	}
	rows = append(rows, termRows(paper.Terms)...)
	rows = append(rows, []string{"commitment", paper.Commitment}, []string{"instructor's key", paper.PublicKey})
	p.table("ll", rows)
	if len(paper.Blueprint.Rows) > 0 {
		p.section("Questions", "")
		rows = [][]string{{"of", "number", "points each"}}
		for _, r := range paper.Blueprint.Rows {
			rows = append(rows, []string{r.String(), fmt.Sprint(r.Count), points(r.Points)})
		}
		p.table("lrr", rows)
	}
	tellTrial(p, paper)
}

// tellTrial prints how the teeth were made alike.
func tellTrial(p page, paper exam.Paper) {
	note := paper.Trial
	if len(paper.Cases) == 0 {
		return
	}
	if note.Operator == "" {
		p.section("Teeth", "")
		fmt.Fprintln(p.to, "  drawn without a trial: nobody knows whether they are equally hard")
		return
	}
	p.section("Teeth", fmt.Sprintf("expected marks by the operator %s, treatments of each: %d", note.Operator, note.Hands))
	rows := [][]string{{"case", "middle", "first draws", "as sealed", "drawn anew", "± of one tooth"}}
	for n, one := range paper.Cases {
		spread, deviation := note.Spread[n], "not known"
		if note.Hands > 1 {
			deviation = tenth(note.Error[n])
		}
		if !slices.ContainsFunc(paper.Candidates, func(c exam.Candidate) bool {
			return slices.ContainsFunc(c.Cases, func(g exam.Given) bool { return g.Case == n })
		}) {
			rows = append(rows, []string{one.Name, "nobody got it", "", "", "", ""})
			continue
		}
		rows = append(rows, []string{one.Name, tenth(note.Centres[n]), tenth(spread.FirstLow) + " – " + tenth(spread.FirstHigh),
			tenth(spread.Low) + " – " + tenth(spread.High), fmt.Sprint(spread.Redrawn), deviation})
	}
	p.table("lrrrrr", rows)
	fmt.Fprintf(p.to, "\n  All teeth lie within %s of the middle.\n", tenth(note.Width))
	if slices.ContainsFunc(note.Spread, func(s exam.Spread) bool { return s.Low > nearlyAll }) {
		fmt.Fprintln(p.to, "  An operator who earns nearly all marks on every tooth tells little of which one is harder; try others: --operator steady.")
	}
}

// nearlyAll is the share of the marks above which a trial does not tell hard teeth from easy ones.
const nearlyAll = 0.97

// tenth writes a share as per cent with one decimal.
func tenth(share float64) string { return fmt.Sprintf("%.1f %%", 100*share) }

// termRows says under which terms a paper is sat.
func termRows(t exam.Terms) [][]string {
	clock := func(at int64) string { return time.Unix(at, 0).UTC().Format("2006-01-02 15:04 UTC") }
	var rows [][]string
	if t.FromS > 0 {
		rows = append(rows, []string{"opens", clock(t.FromS)})
	}
	if t.UntilS > 0 {
		rows = append(rows, []string{"closes", clock(t.UntilS)})
	}
	limit, see := "none", "nothing beyond what a clinician sees"
	if t.LimitS > 0 {
		limit = (time.Duration(t.LimitS) * time.Second).String()
	}
	if len(t.See) > 0 {
		see = strings.Join(t.See, ", ")
	}
	return append(rows, []string{"time limit", limit}, []string{"attempts", fmt.Sprint(t.Attempts)}, []string{"may be seen", see})
}

// paperShow shows a paper or a packet.
type paperShow struct {
	File string `arg:"" help:"A paper (instructor/paper.json) or a packet."`
}

// Run says what the file holds, or why it is refused.
func (c *paperShow) Run(s *session) error {
	data, err := readRecord(c.File)
	if err != nil {
		return refusal(c.File, err)
	}
	if exam.SchemaOf(data) == exam.PacketSchema {
		packet, err := exam.DecodePacket(data)
		if err != nil {
			return refusal(c.File, err)
		}
		tellPacket(page{s.out}, packet)
		return nil
	}
	paper, err := exam.DecodePaper(data)
	if err != nil {
		return refusal(c.File, err)
	}
	tellPaper(page{s.out}, paper)
	return nil
}

// tellPacket prints what a packet holds, for the candidate.
func tellPacket(p page, packet exam.Packet) {
	p.title(packet.Title)
	rows := [][]string{{"paper", packet.Paper}, {"candidate", packet.Candidate}, {"cases", fmt.Sprint(len(packet.Cases))}, {"questions", fmt.Sprint(len(packet.Items))}}
	terms := packet.Terms
	terms.LimitS = packet.LimitS
	rows = append(rows, termRows(terms)...)
	if packet.RestS > 0 {
		rows = append(rows, []string{"rest", (time.Duration(packet.RestS) * time.Second).String()})
	}
	p.table("ll", append(rows, []string{"instructor's key", packet.PublicKey}))
	fmt.Fprintln(p.to, "\n  It is whole, and signed by that key.")
}
