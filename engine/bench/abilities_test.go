package bench

import (
	"os"
	"regexp"
	"slices"
	"testing"
)

// TestAbilitiesAreListed: each interface of abilities.go is in the list of abilities, and
// each of the list is in the package's comment.
func TestAbilitiesAreListed(t *testing.T) {
	src, err := os.ReadFile("abilities.go")
	if err != nil {
		t.Fatal(err)
	}
	doc, err := os.ReadFile("doc.go")
	if err != nil {
		t.Fatal(err)
	}
	var declared []string
	for _, m := range regexp.MustCompile(`(?m)^type (\w+) interface`).FindAllStringSubmatch(string(src), -1) {
		if name := m[1]; name != "RigRequest" { // it is a request
			declared = append(declared, name)
		}
	}
	for _, name := range declared {
		if !slices.ContainsFunc(Abilities, func(a Ability) bool { return a.Interface == name }) {
			t.Errorf("%s is not in Abilities", name)
		}
	}
	for _, a := range Abilities {
		if !slices.Contains(declared, a.Interface) {
			t.Errorf("%s is in Abilities, and abilities.go does not declare it", a.Interface)
		}
		if !regexp.MustCompile(`\[` + a.Interface + `\]`).Match(doc) {
			t.Errorf("%s is not in doc.go", a.Interface)
		}
	}
}
