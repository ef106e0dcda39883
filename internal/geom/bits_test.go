package geom_test

import (
	"testing"

	"tugback/internal/detmath"
	"tugback/internal/geom"
)

// Golden of our own output, not a reference: it says only that every target gives the same bits. It
// may change with the code, but never with GOARCH or GOAMD64.
func TestSameBitsOnEveryTarget(t *testing.T) {
	const golden = "9392b27002d274dded3724dced21378ccb659a65786ad1a2337a540921e94b32"
	type measured struct {
		Stations                  []geom.Station
		Schneider, Weine, Estrela float64
		Bends                     []geom.Bend
		Access                    geom.Access
		Loss                      float64
		Simple                    []geom.Point
	}
	var all []measured
	for seed, e := range examples {
		curve := e.curve()
		curve.Pieces = append(curve.Pieces, geom.Piece{Length: 1, Start: 0.1, End: -0.3})
		path := axis(curve, 0.1)
		rough := make([]geom.Point, len(path))
		stream := detmath.NewStream(uint64(seed), "bits")
		for i, p := range path {
			rough[i] = p.Add(geom.Point{X: stream.Normal(0, 0.01), Y: stream.Normal(0, 0.01)})
		}
		all = append(all, measured{
			curve.Sample(0.1), geom.Schneider(rough), geom.Weine(path), geom.EstrelaRadius(rough),
			geom.Bends(rough), geom.CanalAccess(rough),
			geom.StraighteningLoss(e.radius, e.angle*degree, e.tail), geom.Simplify(rough, 0.02),
		})
	}
	if got := detmath.Digest(all); got != golden {
		t.Errorf("digest = %s, want %s", got, golden)
	}
}
