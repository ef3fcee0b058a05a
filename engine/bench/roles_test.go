package bench

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"candelua/engine/fault"
)

// The advice for a word that a unit does not have can be followed as it stands, and never tells somebody to set something
// else: it names a control's own word only where that is the word that was asked for.
func TestHintForWords(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		role := rapid.SampledFrom([]string{"automatic brightness", "enhancements"}).Draw(r, "role")
		asked := rapid.SampledFrom([]string{"on", "off"}).Draw(r, "asked")
		values := rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"On", "OFF", "Ein", "Aus", "No", "Yes", "Of", "one", "Never"}), 2, 4, rapid.ID[string]).Draw(r, "values")
		src := func(words string) []byte {
			return fmt.Appendf(nil, "name = 'a'\n[controls.Wing]\nrole = %q\nvalues = ['%s']\n%s\n", role, strings.Join(values, "', '"), words)
		}
		_, err := settingsOf(t, src(""), Setting{role, asked})
		if err == nil {
			r.Fatalf("%q is taken by %q", asked, values)
		}
		advised, _, _ := strings.Cut(strings.TrimPrefix(fault.HintOf(err), "say in the unit file which of these it is: "), " of the control Wing")
		i := slices.IndexFunc(values, func(v string) bool { return strings.EqualFold(v, asked) })
		if i < 0 {
			if want := fmt.Sprintf("words = { %s = \"…\" }", asked); advised != want {
				r.Fatalf("%q for %q of %q, want %q", advised, asked, values, want)
			}
			return
		}
		made, err := settingsOf(t, src(advised), Setting{role, asked})
		if err != nil || made[0].Value != values[i] {
			r.Fatalf("with %s: %v, %v", advised, made, err)
		}
	})
	for _, c := range []struct{ asked, want string }{
		{"bold", `did you mean "Bold"?`},
		{"very calm", `say in the unit file which of these it is: words = { "very calm" = "…" } of the control Wing`},
		{"vivid", `say in the unit file which of these it is: words = { vivid = "…" } of the control Wing`},
	} {
		_, err := settingsOf(t, []byte("name = 'a'\n[controls.Wing]\nrole = 'picture mode'\nvalues = ['Calm', 'Bold']\n"), Setting{"picture mode", c.asked})
		if fault.HintOf(err) != c.want {
			t.Errorf("%s: %q, want %q", c.asked, fault.HintOf(err), c.want)
		}
	}
}

// settingsOf are the settings that a unit file makes of one.
func settingsOf(t *testing.T, unit []byte, s Setting) ([]Made, error) {
	t.Helper()
	u, err := ParseUnit("u.toml", unit)
	if err != nil {
		t.Fatalf("%v\n%s", err, unit)
	}
	return (&Bench{file: &File{described: u}}).Settings([]Setting{s})
}
