package main

import (
	"encoding/json"
	"testing"

	"candelua/engine/history"
	"candelua/engine/survey"
)

// Decisions that came out alike are shown in one line, so that the one that differs
// is seen.
func TestAlikeDecisions(t *testing.T) {
	yes, no := json.RawMessage("true"), json.RawMessage("false")
	joined := alike([]survey.Decision{{Step: 2, Name: "watch", Value: no}, {Step: 5, Name: "watch", Value: yes}, {Step: 7, Name: "watch", Value: no}, {Step: 8, Name: "odd", Value: no}})
	var got []string
	for _, d := range joined {
		got = append(got, d.at()+": "+d.Name+" = "+string(d.Value))
	}
	want := []string{"steps 2, 7: watch = false", "step 5: watch = true", "step 8: odd = false"}
	if len(got) != len(want) {
		t.Fatalf("got %q, want %q", got, want)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("got %q, want %q", got[i], want[i])
		}
	}
}

// The reasons of the journal keep their words, and are shown in plainer ones.
func TestReasonsInPlainWords(t *testing.T) {
	for reason, want := range map[string]string{
		"operator: paused at the operator's word": "paused by the operator", "struck by the operator": "withdrawn by the operator",
		"it was cut off": "the program ended before the run did", "stopped by the user": "stopped by the user",
		"operator: the input ended before the answer": "the input ended before the answer",
	} {
		if got := reasonText(reason); got != want {
			t.Errorf("%q is shown as %q, want %q", reason, got, want)
		}
	}
	if got := partWords(history.Part{Unbroken: true}); len(got) != 1 || got[0] != "must not be interrupted" {
		t.Errorf("an unbroken part is %q", got)
	}
}
