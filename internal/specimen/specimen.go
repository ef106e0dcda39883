// Package specimen makes for tests what they most often begin with: a shipped case, a shipped plan carried out
// in it, and a paper of it that is sealed.
//
// The main idea: a test names the case and gets the thing whole; what can't be made ends the test. Teeth and
// plans are those of package scenarios; the keys are the same in every test, and no real paper has them.
//
// It is for tests alone, and for those outside the package they test. Begin reading at Paper, then at Seal.
package specimen

import (
	"bytes"
	"crypto/ed25519"
	"slices"

	"tugback/internal/attempt"
	"tugback/internal/exam"
	"tugback/internal/quiz"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
	"tugback/scenarios"
)

// Test is what a specimen needs of a *testing.T.
type Test interface {
	Helper()
	Fatalf(format string, args ...any)
}

// Scenario returns a shipped scenario by its name.
func Scenario(t Test, name string) scenario.Scenario {
	t.Helper()
	s, err := scenario.LoadFS(scenarios.Files, name+".yaml")
	if err != nil {
		t.Fatalf("%v", err)
	}
	return s
}

// Paper returns a shipped case at its own seed, with its rules.
func Paper(t Test, name string) attempt.Paper {
	t.Helper()
	return Seeded(t, name, Scenario(t, name).Seed())
}

// Seeded returns a shipped case at a seed, with its rules.
func Seeded(t Test, name string, seed uint64) attempt.Paper {
	t.Helper()
	s := Scenario(t, name)
	c, err := s.Case(seed)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return attempt.Paper{Case: c, Marker: s.Marker()}
}

// Plan returns a shipped plan by its name, "lower-premolar.careful".
func Plan(t Test, name string) scenario.Plan {
	t.Helper()
	file := "plans/" + name + ".yaml"
	text, err := scenarios.Files.ReadFile(file)
	if err != nil {
		t.Fatalf("%v", err)
	}
	p, err := scenario.ParsePlan(file, text)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return p
}

// Treated returns a shipped case after a shipped plan of it, named by its last part: "careful".
func Treated(t Test, name, plan string) *attempt.Run {
	t.Helper()
	return Treat(t, Paper(t, name), Steps(t, Plan(t, name+"."+plan)))
}

// Steps returns what a shipped plan does, after what the drill it may be for has done.
func Steps(t Test, plan scenario.Plan) []treatment.Action {
	t.Helper()
	drill, _ := Scenario(t, plan.For).Drill()
	return append(drill.Steps, plan.Steps...)
}

// Record returns the bytes of a short run, different for each seed: a premolar is judged and isolated, and
// a minute passes.
func Record(t Test, seed uint64) []byte {
	t.Helper()
	p := Seeded(t, "lower-premolar", seed)
	short := Treat(t, p, []treatment.Action{
		{Do: treatment.Judge, Choice: "treat", Agent: "moderate"},
		{Do: treatment.Isolate, Tooth: p.Case.Number, Tested: 1},
		{Do: treatment.Wait, Time: 60_000},
	})
	data, err := attempt.Encode(short.Close())
	if err != nil {
		t.Fatalf("%v", err)
	}
	return data
}

// Treat carries actions out, all of which must be possible.
func Treat(t Test, p attempt.Paper, steps []treatment.Action) *attempt.Run {
	t.Helper()
	r, err := attempt.Treat(p, steps)
	if err != nil {
		t.Fatalf("%s: %v", p.Case.Scenario, err)
	}
	return r
}

// Cases returns shipped cases as a paper holds them.
func Cases(t Test, names ...string) []exam.Case {
	t.Helper()
	var out []exam.Case
	for _, name := range names {
		one, err := exam.CaseOf(Scenario(t, name))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		out = append(out, one)
	}
	return out
}

// Questions returns the first shipped question of each of some kinds, for two points each; all kinds when
// none is named.
func Questions(t Test, kinds ...quiz.Kind) []exam.Item {
	t.Helper()
	bank, err := scenario.LoadItemsFS(scenarios.Files, "quiz")
	if err != nil {
		t.Fatalf("%v", err)
	}
	if kinds == nil {
		kinds = quiz.Kinds()
	}
	var out []exam.Item
	for _, kind := range kinds {
		i := slices.IndexFunc(bank, func(i quiz.Item) bool { return i.Kind == kind })
		if i < 0 {
			t.Fatalf("no question of the kind %s is shipped", kind)
		}
		out = append(out, exam.Item{Item: bank[i], Points: 2})
	}
	return out
}

// Key returns the key that signs the papers sealed here.
func Key() ed25519.PrivateKey {
	return ed25519.NewKeyFromSeed(bytes.Repeat([]byte{7}, ed25519.SeedSize))
}

// Seal seals a paper. One without candidates is for ALFA.
func Seal(t Test, paper exam.Paper) exam.Paper {
	t.Helper()
	if paper.Candidates == nil {
		paper.Candidates = []exam.Candidate{{ID: "ALFA", TimeFactor: 1}}
	}
	sealed, err := exam.Seal(paper, exam.Sealing{Secret: bytes.Repeat([]byte{9}, 32), Key: Key()})
	if err != nil {
		t.Fatalf("seal %s: %v", paper.ID, err)
	}
	return sealed
}

// Packet returns the packet of a candidate as it is handed out.
func Packet(t Test, paper exam.Paper, candidate string) []byte {
	t.Helper()
	packet, err := paper.Packet(candidate, Key())
	if err != nil {
		t.Fatalf("%v", err)
	}
	data, err := packet.Encode()
	if err != nil {
		t.Fatalf("%v", err)
	}
	return data
}

// Verify returns what a sitting of a paper is worth, which must stand verification.
func Verify(t Test, paper exam.Paper, export []byte) *exam.Verified {
	t.Helper()
	x, err := exam.NewExaminer(paper)
	if err != nil {
		t.Fatalf("%v", err)
	}
	v, err := x.Verify(export)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return v
}
