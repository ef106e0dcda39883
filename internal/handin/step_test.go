package handin_test

import (
	"net/http"
	"slices"
	"testing"

	"tugback/internal/handin"
	"tugback/internal/treatment"
)

// TestClientSteps holds what a step sends and what is made of the answer.
func TestClientSteps(t *testing.T) {
	c, heard := listening(t, http.StatusOK, `{"said":["· Done."],"acts":3,"ask":"4 Find> ","left_s":-1}`)
	seen, err := c.Step(t.Context(), "1", handin.Step{Do: handin.StepAction, Acts: 2, Case: 1, Action: &treatment.Action{Do: treatment.Wait, Time: 60_000}})
	if err != nil || seen.Acts != 3 || seen.Ask != "4 Find> " || !slices.Equal(seen.Said, []string{"· Done."}) || seen.LeftS != -1 {
		t.Errorf("got %+v, error %v", seen, err)
	}
	want := []said{{"POST", "/api/step/1", "Bearer my-token", `{"do":"action","acts":2,"case":1,"action":{"do":"wait","time_ms":60000}}`}}
	if !slices.Equal(*heard, want) {
		t.Errorf("got %q, want %q", *heard, want)
	}
}
