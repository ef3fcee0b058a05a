package result

import (
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The first two rows are given by the design; the rest follow the rules of
// ID's doc comment. Names of Greek letters: ISO 843, from memory, but for
// theta, phi, chi, psi (th, f, ch, ps as it is romanised): common English names.
func TestID(t *testing.T) {
	for _, c := range []struct{ name, want string }{
		{"Peak luminance", "peak-luminance"},
		{"Δu′v′", "delta-u-v"},
		{"Luminance, 10 % window", "luminance-10-window"},
		{"ΔE*ab, mean", "delta-e-ab-mean"},
		{"  -- CCT -- ", "cct"},
		{"0.5 cd/m²", "0-5-cd-m2"},
		{"CO₂", "co2"},
		{"10⁻³", "10-3"},
		{"Säule ÄÖÜ ß Ångström", "saule-aou-ss-angstrom"},
		{"Sa\u0308ule", "saule"}, // decomposed
		{"œuvre", "oeuvre"},
		{"µm", "mu-m"},
		{"μm", "mu-m"},
		{"2γ", "2-gamma"},
		{"ＡＢＣ１２", "abc12"},
		{"٣٤", "34"},                   // Arabic-Indic digits
		{"\U0001D7D8\U0001D7E1", "09"}, // double-struck 0 and 9
		{"яр", "u44f-u440"},
		{"峰值 1", "u5cf0-u503c-1"},
		{"", ""},
		{" % ′ ", ""},
		{"a_b/c.d", "a-b-c-d"},
	} {
		if got := ID(c.name); got != c.want {
			t.Errorf("ID(%q) = %q, want %q", c.name, got, c.want)
		}
	}
}

func TestIDOfLongNamesStaysApart(t *testing.T) {
	long := strings.Repeat("luminance of the very long name ", 10)
	a, b := ID(long+"a"), ID(long+"b")
	if a == b || len(a) > maxID || len(b) > maxID {
		t.Errorf("ids are %q and %q, want two of at most %d bytes", a, b, maxID)
	}
}

func TestIDProperties(t *testing.T) {
	form := regexp.MustCompile(`^([a-z0-9]+(-[a-z0-9]+)*)?$`)
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.String().Draw(t, "name")
		id := ID(name)
		if !form.MatchString(id) || len(id) > maxID {
			t.Fatalf("ID(%q) = %q", name, id)
		}
		if ID(id) != id {
			t.Fatalf("ID(%q) = %q, want it unchanged", id, ID(id))
		}
	})
}
