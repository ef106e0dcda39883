package treatment

import (
	"math"
	"slices"

	"tugback/internal/mechanics"
)

// pieceOf returns the piece of an instrument in use, taking a new one from the tray when there is none
// or the last one broke. Each new piece has its own life and strength from the seed.
func (t *turn) pieceOf(item Instrument, rod *mechanics.Rod) *ToolState {
	for i := range t.Tools {
		if t.Tools[i].Item == item.ID && !t.Tools[i].Broken {
			t.Tools[i].Tool = fitted(t.Tools[i].Tool, rod)
			return &t.Tools[i]
		}
	}
	tool := mechanics.NewTool(rod)
	if set := t.Case.Settings; set.BreakageDrawn {
		s := t.draw("piece", item.ID)
		tool.Endurance = s.LogNormal(1, set.FatigueScatter)
		tool.Strength = s.Truncated(1, set.StrengthScatter, 0.7, 1.3)
	}
	t.served(item, &tool)
	t.Tools = append(t.Tools, ToolState{Item: item.ID, Tool: tool, Off: t.ground(item)})
	return &t.Tools[len(t.Tools)-1]
}

// served gives a piece what it has spent of its life in teeth before this one: evenly drawn, UsedLife on average, all
// along it. The piece that replaces a broken one is new. Checked by TestUsedFiles.
func (t *turn) served(item Instrument, tool *mechanics.Tool) {
	replaces := slices.ContainsFunc(t.Tools, func(o ToolState) bool { return o.Item == item.ID })
	mean := t.Case.Settings.UsedLife
	if mean <= 0 || replaces || !item.Shapes() {
		return
	}
	s := t.draw("served", item.ID)
	spent := float64(2*mean*s.Float64()) * tool.Endurance
	for k := range tool.Life {
		tool.Life[k] = spent
	}
}

// ground draws by how much a new piece's diameters differ from nominal, mm: within the standard's tolerance of
// ±0.02 mm up to size 60 and ±0.04 mm above (ISO 3630-1, from memory). 0 for cones, which have their own.
// Checked by TestFileSizes (D6).
func (t *turn) ground(item Instrument) float64 {
	scatter := t.Case.Settings.SizeScatter
	if scatter <= 0 || item.Family == "cone" || item.Family == "enlarger" {
		return 0
	}
	tolerance := 0.02
	if item.Size > 60 {
		tolerance = 0.04
	}
	s := t.draw("grinding", item.ID)
	return math.RoundToEven(float64(1e6*s.Truncated(0, scatter, -tolerance, tolerance))) / 1e6
}

// fitted copies a tool's history onto a rod's stations. Canals differ in station spacing by less than
// a per cent, so a history may be a station longer or shorter than the rod.
func fitted(tool mechanics.Tool, rod *mechanics.Rod) mechanics.Tool {
	n := len(rod.Radius)
	out := tool.Clone()
	for p := range out.Set {
		out.Set[p] = resized(out.Set[p], n)
	}
	out.Life = resized(out.Life, n)
	return out
}

func resized(v []float64, n int) []float64 {
	if len(v) >= n {
		return v[:n]
	}
	return append(slices.Clone(v), make([]float64, n-len(v))...)
}

// wipe cleans an instrument's flutes and looks at it.
func (t *turn) wipe() error {
	item, err := t.instrument()
	if err != nil {
		return err
	}
	for i := range t.Tools {
		if t.Tools[i].Item != item.ID || t.Tools[i].Broken {
			continue
		}
		tool := &t.Tools[i]
		tool.Tool = tool.Tool.Clone()
		full := tool.Tool.Clog
		tool.Tool.Clog = 0
		t.spend(5_000)
		t.happen(Event{Kind: Wiped, Item: item.ID, Value: full})
		if tool.Tool.Unwound > 0 {
			t.happen(Event{Kind: Unwound, Item: item.ID, Value: degrees(tool.Tool.Unwound), Unit: "deg"})
		}
		return nil
	}
	return refuse("not-in-use", "wipe: %s has not been used", item.ID)
}

// bend pre-curves the apical part of a steel file; NiTi springs back.
func (t *turn) bend() error {
	item, err := t.instrument("hand-steel", "hand-flex", "hand-h", "reamer", "hand-niti")
	if err != nil {
		return err
	}
	rod := mechanics.NewRod(item.Blank(), stepOf(t))
	tool := t.pieceOf(item, rod)
	tool.Tool = tool.Tool.Clone()
	side := wallSide(t.action.Wall)
	radius := float64(t.action.Radius) / 1000
	if side%2 == 0 {
		radius = -radius
	}
	tool.Tool.Bend(rod, side/2, radius, float64(t.action.Length)/1000)
	t.spend(10_000)
	if item.Steel() {
		t.happen(Event{Kind: PreCurved, Item: item.ID, Value: float64(t.action.Radius) / 1000, Unit: "mm", Wall: t.action.Wall})
	} else {
		t.happen(Event{Kind: NoCurve, Item: item.ID})
	}
	return nil
}

// stepOf returns the station spacing of the first canal, for a tool that is not in a canal.
func stepOf(t *turn) float64 { return t.Canals[0].Space.Step }
