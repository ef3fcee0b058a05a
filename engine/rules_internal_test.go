package engine

import (
	"testing"

	"candelua/engine/history"
	"candelua/engine/result"
)

// Notes, which may hold sentences of candelua's own, are put down to older rules;
// nothing is where the rules are today's.
func TestOlderWords(t *testing.T) {
	noted := func(text string) *result.Results {
		r := result.New()
		if err := r.Note(result.Note{Text: text}); err != nil {
			t.Fatal(err)
		}
		return r
	}
	for rules, want := range map[int]bool{1: true, 2: true, history.Rules: false} {
		rest, older := setOlderApart(&history.Head{Rules: rules}, result.Compare(noted("was"), noted("is")))
		if (older != nil) != want || (len(rest) == 0) != want {
			t.Errorf("rules %d: %v is left, %+v is of older rules", rules, rest, older)
		}
	}
}
