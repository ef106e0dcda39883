package ui

import (
	"image/color"
	"math"

	"github.com/hajimehoshi/ebiten/v2"
)

// sprites are small shapes painted once and then only copied: paths cost many times more than images,
// and a sheet has some hundred dots and lines.
type sprites struct {
	white  *ebiten.Image
	shapes map[spriteKey]*ebiten.Image
}

type spriteKey struct {
	what string
	a, b float64
	ink  color.RGBA
}

// bar fills an upright rectangle, device px, its edges on whole pixels.
func (s *sprites) bar(dst *ebiten.Image, x, y, w, h float64, ink color.RGBA) {
	if s.white == nil {
		s.white = ebiten.NewImage(1, 1)
		s.white.Fill(color.White)
	}
	x0, y0 := math.Round(x), math.Round(y)
	w, h = math.Max(1, math.Round(x+w)-x0), math.Max(1, math.Round(y+h)-y0)
	o := &ebiten.DrawImageOptions{}
	o.GeoM.Scale(w, h)
	o.GeoM.Translate(x0, y0)
	o.ColorScale.ScaleWithColor(ink)
	dst.DrawImage(s.white, o)
}

// level draws a level or upright line of a width around its middle.
func (s *sprites) line(dst *ebiten.Image, x0, y0, x1, y1, width float64, ink color.RGBA) {
	width = math.Max(1, math.Round(width))
	if math.Abs(x1-x0) >= math.Abs(y1-y0) {
		s.bar(dst, math.Min(x0, x1), y0-width/2, math.Abs(x1-x0), width, ink)
		return
	}
	s.bar(dst, x0-width/2, math.Min(y0, y1), width, math.Abs(y1-y0), ink)
}

// frame draws the four sides of a rectangle.
func (s *sprites) frame(dst *ebiten.Image, x, y, w, h, width float64, ink color.RGBA) {
	width = math.Max(1, math.Round(width))
	s.bar(dst, x, y, w, width, ink)
	s.bar(dst, x, y+h-width, w, width, ink)
	s.bar(dst, x, y, width, h, ink)
	s.bar(dst, x+w-width, y, width, h, ink)
}

// get returns a shape, painted at its first use into an image of a size.
func (s *sprites) get(key spriteKey, w, h float64, paint func(*ebiten.Image)) *ebiten.Image {
	if s.shapes == nil {
		s.shapes = map[spriteKey]*ebiten.Image{}
	}
	img := s.shapes[key]
	if img == nil {
		img = ebiten.NewImage(max(1, int(math.Ceil(w))), max(1, int(math.Ceil(h))))
		paint(img)
		s.shapes[key] = img
	}
	return img
}

// put copies an image with its left upper corner at a place.
func put(dst, img *ebiten.Image, x, y float64) {
	o := &ebiten.DrawImageOptions{}
	o.GeoM.Translate(math.Round(x), math.Round(y))
	dst.DrawImage(img, o)
}

// dot fills a disc.
func (s *sprites) dot(dst *ebiten.Image, x, y, r float64, ink color.RGBA) {
	r = math.Round(4*r) / 4
	img := s.get(spriteKey{"dot", r, 0, ink}, 2*r+4, 2*r+4, func(i *ebiten.Image) { fill(i, disc(r+2, r+2, r), ink) })
	put(dst, img, x-r-2, y-r-2)
}

// ring draws a circle of a width.
func (s *sprites) ring(dst *ebiten.Image, x, y, r, width float64, ink color.RGBA) {
	r = math.Round(4*r) / 4
	pad := width + 2
	img := s.get(spriteKey{"ring", r, width, ink}, 2*r+2*pad, 2*r+2*pad, func(i *ebiten.Image) { stroke(i, disc(r+pad, r+pad, r), width, ink) })
	put(dst, img, x-r-pad, y-r-pad)
}
