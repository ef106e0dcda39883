package treatment

import (
	"slices"
	"strconv"

	"tugback/internal/detmath"
)

// Drawn is how often chance has decided about one thing: a purpose and an item, such as "cone" and the cone of a
// size in one canal.
type Drawn struct {
	What  string
	Times int
}

// draw returns the stream of the next decision of a purpose about an item (instrument, canal, technique). Each
// has a stream of its own from the seed, numbered by how often that purpose was decided about that item before, so
// that one more film, rinse or gauging shifts nothing elsewhere. Checked by TestDrawsStandApart.
func (t *turn) draw(purpose, item string) detmath.Stream {
	what := purpose + "/" + item
	i := slices.IndexFunc(t.Drawn, func(d Drawn) bool { return d.What == what })
	t.Drawn = slices.Clone(t.Drawn) // shared with the state before
	if i < 0 {
		i = len(t.Drawn)
		t.Drawn = append(t.Drawn, Drawn{What: what})
	}
	t.Drawn[i].Times++
	return detmath.NewStream(t.Case.Seed, what+"/"+strconv.Itoa(t.Drawn[i].Times))
}

// drawIn returns the same for the action's canal, by its place in the tooth: its name is a label.
func (t *turn) drawIn(purpose string) detmath.Stream {
	return t.draw(purpose, strconv.Itoa(t.index(t.action.Canal)))
}
