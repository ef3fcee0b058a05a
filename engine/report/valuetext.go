package report

import (
	"strings"

	"candelua/engine/plain"
	"candelua/engine/result"
)

// ValueText writes a value for a line of text, without its name: its number
// with uncertainty and unit, or its words, and the finding if there is one,
// as in "480.49 ± 0.12 cd/m2 (pass)". Words are on one line, whatever they are.
func ValueText(v *result.Value) string {
	text := plain.Line(v.Text)
	if text == "" {
		number, u := quantity(v)
		if v.Method == result.NotKnown && u == notKnownU {
			u = ""
		}
		text = strings.Join(strings.Fields(number+" "+u+" "+plain.Line(v.Unit)), " ")
	}
	if v.Doubt != "" {
		text += ", from readings that do not show what the patch gives: " + plain.Line(v.Doubt)
	}
	if v.Open != "" {
		text += ", perhaps from readings that do not show what the patch gives"
	}
	switch {
	case v.Method == result.NotKnown && v.UAtLeast != nil:
		text += ", uncertainty not wholly known"
	case v.Method == result.NotKnown:
		text += ", uncertainty not known"
	}
	if v.Outside() {
		text += ", outside of its own 95 % interval"
	}
	if v.Finding != "" {
		text += " (" + findingWords(v.Finding) + ")"
	}
	return text
}
