package picture

import (
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"

	"tugback/internal/anatomy"
	"tugback/internal/detmath"
	"tugback/internal/treatment"
)

// Film is a computed radiograph still to be taken: the beam, the receptor and its noise.
type Film struct {
	Beam  treatment.Beam
	Dot   float64 // mm of the receptor per picture element, 0.03 to 0.5
	Grain float64 // standard deviation of the noise, share of the open beam
	Seed  uint64  // of the noise
}

// DefaultFilm returns a paralleling film of 20 dots per millimetre with 0.6 % noise (assumed).
func DefaultFilm() Film {
	return Film{Beam: treatment.Paralleling(), Dot: 0.05, Grain: 0.006, Seed: 1}
}

// Radiogram is a radiograph: grey values, and where the tooth's own origin (axis, cemento-enamel
// junction) stands on it.
type Radiogram struct {
	Image  *image.Gray
	Origin [2]float64 // dots from the left and from the top
	Dot    float64    // mm of the receptor
}

// At returns where a point of the receptor (mm, as treatment.Beam.Project gives it) stands in the
// picture, dots from the left and from the top.
func (r Radiogram) At(u, v float64) (x, y float64) {
	return r.Origin[0] + u/r.Dot, r.Origin[1] - v/r.Dot
}

// Length returns the distance between two places of the picture, mm on the receptor.
func (r Radiogram) Length(x1, y1, x2, y2 float64) float64 {
	return math.Hypot(x2-x1, y2-y1) * r.Dot
}

// Frame returns the part of the receptor that a film of a tooth shows, mm as treatment.Beam.Project gives
// them: the film can be laid out before it is exposed. Checked by TestRadiographFrame.
func (f Film) Frame(t *anatomy.Tooth) (left, right, low, high float64) { return emptyBlock(t).frame(f) }

// errFilm says which films can be taken.
var errFilm = errors.New("picture: film outside the allowed range")

// check refuses films that no beam could make or no memory could hold.
func (f Film) check() error {
	steep := math.Pi / 180 * 60
	b := f.Beam
	switch {
	case !(f.Dot >= 0.03 && f.Dot <= 0.5):
		return fmt.Errorf("%w: dot %g mm, allowed 0.03 to 0.5 mm", errFilm, f.Dot)
	case !(f.Grain >= 0 && f.Grain <= 0.2):
		return fmt.Errorf("%w: grain %g, allowed 0 to 0.2", errFilm, f.Grain)
	case !(math.Abs(b.Shift) < steep) || !(math.Abs(b.Vertical) < steep) || !(math.Abs(b.Receptor) < steep):
		return fmt.Errorf("%w: an angle of 60° or more", errFilm)
	case !(b.Source > b.Object && b.Object >= 0):
		return fmt.Errorf("%w: the source must stand behind the tooth", errFilm)
	}
	return nil
}

// Radiograph returns a film of a case as it is now, or an error that says which films can't be taken.
// Every dot is what Beer and Lambert leave of the beam:
//
//	I = exp(−Σ μ·t)
//
// summed along its ray through enamel, dentine, pulp, bone, metal, gutta-percha and sealer (see matter.go),
// with seeded noise; dense matter is shown light. The tooth is painted into a block of small cubes of
// 0.12 mm, its roots, canals and contents as ellipses by level, and the block is projected slab by slab
// exactly as Beam.Project says. The state is only read. Checked by TestRadiographObeysProjection.
func Radiograph(s treatment.State, f Film) (Radiogram, error) {
	if err := f.check(); err != nil {
		return Radiogram{}, err
	}
	b := newBlock(s.Case.Tooth)
	b.paintTooth(&s)
	r, depth := b.project(f)
	noise := detmath.NewStream(f.Seed, "film grain")
	for i, t := range depth {
		beam := math.Exp(-t)
		beam += f.Grain * math.Sqrt(beam) * noise.Normal(0, 1)
		r.Image.Pix[i] = develop(beam)
	}
	return r, nil
}

// The optical depths shown black and white: soft tissue alone, and a metal post in dentine.
const (
	blackDepth = 0.25
	whiteDepth = 2.5
)

// develop turns what is left of the beam into a grey value, as a receptor with a logarithmic scale.
func develop(beam float64) uint8 {
	depth := -math.Log(math.Max(beam, 1e-3))
	share := (depth - blackDepth) / (whiteDepth - blackDepth)
	return uint8(math.Round(255 * math.Min(1, math.Max(0, share))))
}

// PNG writes a radiograph as a PNG picture, upper teeth with their roots up as they hang in the mouth.
// The same case and film give the same bytes. Checked by TestRadiographSameBytes.
func (r Radiogram) PNG(w io.Writer, upper bool) error {
	picture := r.Image
	if upper {
		picture = flipped(picture)
	}
	if err := png.Encode(w, picture); err != nil {
		return fmt.Errorf("write the radiograph: %w", err)
	}
	return nil
}

func flipped(in *image.Gray) *image.Gray {
	out := image.NewGray(in.Rect)
	h := in.Rect.Dy()
	for y := range h {
		for x := range in.Rect.Dx() {
			out.SetGray(x, h-1-y, color.Gray{Y: in.GrayAt(x, y).Y})
		}
	}
	return out
}
