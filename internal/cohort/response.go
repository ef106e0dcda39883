package cohort

import (
	"fmt"
	"strconv"
	"strings"

	"tugback/internal/quiz"
)

// responseText says a response in words.
func responseText(a Answer) string {
	if !a.Given {
		return ""
	}
	r := a.Response
	switch a.Item.Kind {
	case quiz.Single, quiz.Several, quiz.Predict, quiz.Ordering:
		return strings.Join(optionTexts(a.Item, r.Chosen), "; ")
	case quiz.Matching:
		var joined []string
		for _, j := range r.Joined {
			for _, p := range a.Item.Pairs {
				if p.ID == j.Pair {
					joined = append(joined, p.Left+": "+j.Right)
				}
			}
		}
		return strings.Join(joined, "; ")
	case quiz.Numeric, quiz.Measure:
		return strings.TrimSpace(strconv.FormatFloat(r.Value, 'f', -1, 64) + " " + a.Item.Unit)
	case quiz.Place:
		return fmt.Sprintf("%.2f mm distal, %.2f mm crownwards", r.Point.X, r.Point.Y)
	}
	return ""
}

// optionTexts returns what the options with some ids say.
func optionTexts(item quiz.Item, ids []string) []string {
	var texts []string
	for _, id := range ids {
		for _, o := range item.Options {
			if o.ID == id {
				texts = append(texts, o.Text)
			}
		}
	}
	return texts
}

// rightID returns the id of the right side of a matching item by its text.
func rightID(item quiz.Item, text string) string {
	for i, side := range quiz.RightSides(item) {
		if side == text {
			return "r" + strconv.Itoa(i+1)
		}
	}
	return "r0"
}
