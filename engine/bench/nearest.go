package bench

import (
	"fmt"
	"strings"

	"candelua/engine/spell"
)

// didYouMean returns a hint that names the nearest word, "" without one.
func didYouMean(word string, known []string) string {
	if near := spell.Nearest(word, known); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return ""
}

// list joins words for a message: "a, b, c"; "none" where there are none.
func list(words []string) string {
	if len(words) == 0 {
		return "none"
	}
	return strings.Join(words, ", ")
}
