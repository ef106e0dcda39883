package bench

import (
	"strings"

	"tugback/internal/attempt"
	"tugback/internal/treatment"
)

// cautionBlocks show what has to be known at this moment: signs and first response where the last action called for
// them, else what to know before the act in hand. Nothing in an examination, which does not teach. Checked by
// TestCautionsAtTheStep.
func (r *treating) cautionBlocks() []Block {
	if r.perceived {
		return nil
	}
	last := len(r.run.Actions()) - 1
	for _, e := range r.run.Events() {
		if text := attempt.CautionOf(e); e.Action == last && text != "" && faulty(e.Kind) {
			return []Block{{Kind: Warning, Text: say("face.caution") + " " + text}}
		}
	}
	if text := attempt.CautionBefore(r.action(r.kind)); text != "" {
		return []Block{{Kind: Quiet, Text: say("face.caution") + " " + text}}
	}
	return nil
}

// cautionPage lists emergencies with their first response, and what the model leaves out.
func cautionPage() []Block {
	blocks := []Block{{Kind: Subhead, Text: say("help.caution.emergency")}}
	for _, e := range attempt.Emergencies() {
		blocks = append(blocks, Block{Kind: Said, Text: capital(e.When)}, Block{Kind: Text, Text: e.Text})
	}
	var all []string
	for _, k := range treatment.Kinds() {
		all = append(all, k.Stage())
	}
	blocks = append(blocks, Block{Kind: Subhead, Text: say("help.caution.limits")})
	return append(blocks, Block{Kind: Text, Text: strings.Join(attempt.Limits(all), " ")})
}
