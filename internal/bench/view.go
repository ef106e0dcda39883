package bench

import (
	"fmt"
	"math"
	"strconv"

	"tugback/internal/attempt"
	"tugback/internal/exam"
	"tugback/internal/geom"
	"tugback/internal/picture"
	"tugback/internal/treatment"
)

// mostCloser is how many times the plate is enlarged at most.
const mostCloser = 4

// closer enlarges the plate twice, four times, and not again.
func (r *treating) closer() {
	if r.zoom = 2 * math.Max(1, r.zoom); r.zoom > mostCloser {
		r.zoom = 1
	}
}

// anchorStep, mm, is how far an instrument goes until an enlarged plate is laid out anew, and anchorAbove how far
// short of the place in the middle it starts: the engraving is painted once for a place.
const (
	anchorStep  = 2.0
	anchorAbove = 0.5
)

// anchor is the place of the canal in hand that an enlarged plate has in its middle: where the instrument stood
// before the hand began to work, else the end of the canal.
func (r *treating) anchor() geom.Point {
	if c := r.far(); c != nil {
		axis := c.plate.Case.Tooth.Canals[0].Axis
		return axis[len(axis)-1].Point
	}
	s := &r.states[len(r.states)-1]
	c, axis := &s.Canals[r.canal], s.Case.Tooth.Canals[r.canal].Axis
	depth := c.Foramen()
	if r.feel.canal == r.canal && c.Feel.Depth > 0 {
		depth = math.Min(depth, anchorStep*math.RoundToEven(c.Feel.Depth/anchorStep)+anchorAbove)
	}
	i := int(math.RoundToEven(depth/c.Space.Step)) - c.Space.Orifice
	return axis[min(max(i, 0), len(axis)-1)].Point
}

// pressLive turns the live film on or off: in practice, as the section is, and noted.
func (r *treating) pressLive(s *Session) {
	if !r.sees(exam.SeeSection) {
		return
	}
	r.live = !r.live
	r.note(onOff(r.live, attempt.NoteLiveOn, attempt.NoteLiveOff))
	says := r.plateSays()
	if r.live {
		says = say("treat.live.foot")
	}
	s.speak(says)
	s.save()
}

// plateSays says how the plate shows the tooth.
func (r *treating) plateSays() string {
	if r.section {
		return say("treat.section")
	}
	return say("treat.closed")
}

// liveFilm is a film of this moment with the instrument in hand in its canal. No dose is given for it: no
// one can take it in the mouth. It is exposed anew when the state has changed or the tip has gone on.
func (r *treating) liveFilm() *FilmScene {
	now := r.now()
	film := picture.DefaultFilm()
	film.Dot, film.Beam = liveDot, treatment.Paralleling()
	film.Seed = now.Case.Seed
	if id, depth := r.inHand(); id != "" && depth > 0 {
		now.Held = treatment.Held{Canal: r.canal, Item: id, Depth: depth + now.CuspCut}
	}
	strokes := r.hold.strokes / liveStrokes
	key := fmt.Sprintf("live:%s:%d:%d:%d:%s:%d:%.1f", now.Case.Digest, now.Case.Seed, len(r.states), strokes, now.Held.Item, now.Held.Canal, now.Held.Depth)
	return &FilmScene{Key: key, State: now, Film: film, Upper: now.Case.Tooth.Upper, Live: true}
}

// liveDot, mm, is the dot of a live film, twice that of one that is taken, for it is exposed again and again;
// while the hand works at one place it is exposed anew every liveStrokes strokes.
const (
	liveDot     = 0.1
	liveStrokes = 8
)

// filmAnchor is where the beam casts the place that an enlarged plate has in its middle, mm on the film.
func (r *treating) filmAnchor() geom.Point {
	at := r.anchor()
	u, v := treatment.Paralleling().Project(at.X, at.Y, 0)
	return geom.Point{X: u, Y: v}
}

// viewTabs are the ways to look at the tooth.
func (r *treating) viewTabs() []Control {
	tabs := []Control{{ID: "film:hang", Kind: Tab, Label: say("film.hang"), Detail: "X"}}
	if r.sees(exam.SeeSection) && r.far() == nil {
		tabs = append(tabs, Control{ID: "section", Kind: Tab, Label: say("treat.view", "state", onWord(r.section)), Detail: "V"},
			Control{ID: "live", Kind: Tab, Label: say("treat.live", "state", onWord(r.live)), Detail: "L"})
	}
	return append(tabs, Control{ID: "closer", Kind: Tab, Label: say("treat.closer", "times", strconv.Itoa(int(math.Max(1, r.zoom)))), Detail: "E"})
}
