package bench

import "tugback/internal/treatment"

// advice returns the next thing a colleague would say, from what the student can know: never a figure
// that only the model knows.
func (r *treating) advice() string {
	if r.far() != nil {
		return r.exam.sitting.(*farSitting).hint
	}
	s := r.now()
	c := s.Canals[r.canal]
	switch {
	case s.Judged == "":
		return say("advice.judge")
	case s.Films == 0:
		return say("advice.film")
	case s.Isolated == 0:
		return say("advice.isolate")
	case !s.Access.Opened:
		return say("advice.open")
	case s.Access.Roof > 0.05:
		return say("advice.roof")
	}
	if r.missing() {
		return say("advice.find")
	}
	if text := r.adviceInCanal(&c); text != "" {
		return text
	}
	for _, i := range r.nameable() {
		if s.Canals[i].Fill.Technique == "" {
			return say("advice.next", "canal", canalName(s.Canals[i].Name))
		}
	}
	switch {
	case !s.Sealed:
		return say("advice.seal")
	case s.Restoration == "":
		return say("advice.restore")
	case s.ReviewDays == 0:
		return say("advice.review")
	}
	return say("advice.finish")
}

// adviceInCanal is the advice for the canal in hand, "" when it is finished.
func (r *treating) adviceInCanal(c *treatment.CanalState) string {
	switch {
	case c.Fill.Technique != "":
		return ""
	case r.feel.known && r.feel.halt == "step":
		return say("advice.step")
	case r.feel.known && r.feel.halt == "debris":
		return say("advice.debris")
	case c.Since >= 2:
		return say("advice.rinse")
	case c.Wet == 0 && c.Length == 0 && c.Rinsed == 0:
		return say("advice.wet")
	case c.Reading == 0:
		return say("advice.scout")
	case c.Length == 0:
		return say("advice.length")
	case c.Last < 20:
		return say("advice.glide")
	case c.Gauged == 0:
		return say("advice.gauge")
	case c.Smear != nil && c.Liquid != "" && c.Cone.Item == "" && c.Wet > 0.05:
		return say("advice.dry")
	case c.Cone.Item == "":
		return say("advice.fit")
	}
	return say("advice.fill")
}

// missing reports whether a colleague would say that a canal is missing: in an examination none does who would give
// a hidden one away.
func (r *treating) missing() bool {
	found := 0
	for _, c := range r.now().Canals {
		if c.Found {
			found++
		}
	}
	return found == 0 || !r.perceived && found < len(r.now().Canals)
}
