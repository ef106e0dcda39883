// Package picture turns teeth and treatments into engraved plates.
//
// The main idea: a Plate or TreatmentPlate composes a Drawing, an ordered list of named layers whose
// shapes are in mm, and a Drawing is written as SVG or PNG (later: drawn in a window) without knowing
// what it shows. Each Layer has a View, the one transform between its millimetres and those of the
// sheet: y is up everywhere, and upper teeth are turned over there and nowhere else. Pen weights and
// type sizes are millimetres of the sheet, so a drawing keeps its character at every width; layers
// say from which width on they are shown, so small pictures get fewer, bolder hatch lines and bigger,
// shorter captions instead of mud.
//
// The hatch of dentine and enamel is the field lines of a potential that is 0 on the pulp's wall and 1
// on the outer surface (see field.go), which is how tubules run; all chance in it comes from the
// tooth's seed. Pictures read their inputs and never change them. Nothing here decides clinical
// matters: each figure shown comes from the engine.
//
// Raster output uses sbinet/gg (stroking, dashes, clips, anti-aliasing; kept, small, and already below
// gonum's plots) and golang.org/x/image/font/sfnt for glyph outlines and kerning.
//
// Begin reading at drawing.go, then plate.go; section.go says what is cut and what lies behind.
package picture
