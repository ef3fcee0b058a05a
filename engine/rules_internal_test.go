package engine

import (
	"testing"

	"candelua/engine/history"
	"candelua/engine/result"
)

// Sentences of candelua's own are put down to older rules, those of the script are
// not, and nothing is where the rules are today's.
func TestOlderWords(t *testing.T) {
	noted := func(text string, own bool) *result.Results {
		r := result.New()
		if err := r.Note(result.Note{Text: text, Own: own}); err != nil {
			t.Fatal(err)
		}
		return r
	}
	for _, c := range []struct {
		rules int
		own   bool
		older bool
	}{{2, true, true}, {2, false, false}, {history.Rules, true, false}, {1, true, true}} {
		rest, older := setOlderApart(&history.Head{Rules: c.rules}, result.Compare(noted("was", false), noted("is", c.own)))
		if (older != nil) != c.older || (len(rest) == 0) != c.older {
			t.Errorf("rules %d, own %v: %v is left, %+v is of older rules", c.rules, c.own, rest, older)
		}
	}
}
