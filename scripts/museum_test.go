package scripts_test

import (
	"cmp"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"candelua/engine/trial"
	"candelua/scripts"
	"candelua/testdata/campaign"
)

// museum holds the procedures that are wrong on purpose, one mistake each; in
// its folders right and trials lie what does it right where no shipped
// procedure does, and the trials that tell them apart where no shipped one does.
const museum = "../testdata/wrong"

const (
	museumSeeds = 20
	museumLuck  = 1  // so many seeds a wrong procedure may pass, and a right one fail
	museumShown = 15 // in so many the value is wrong in which the mistake shows most; others may be in the rest
)

// exhibit is what the head of a wrong procedure says of it.
type exhibit struct {
	file   string
	right  string // what does it right: a shipped name, or a path in the museum
	trial  string // which tells them apart: a shipped name, or a path in the museum
	world  string // of the trial's, in which the mistake shows
	claims claim
}

// claim is how the mistake shows in one value.
type claim struct {
	kind     string // "Bias": the mean error lies from low to high; "Scatter": the errors scatter by low or more
	value    string
	low      float64
	high     float64
	unit     string
	asStated string
}

// Each wrong procedure fails its trial in at least 19 of 20 seeds by a number
// that nobody would doubt, off in the direction and by about as much as it says
// of itself; what does it right passes the same trial in at least 19. The brief
// form does so with two of them, and runs some others with three seeds.
func TestMuseum(t *testing.T) {
	hall := exhibits(t)
	if len(hall) < 15 {
		t.Errorf("the museum holds %d wrong procedures, want 15 or more", len(hall))
	}
	whole := campaign.Some(t, hall, 2)
	few := campaign.Some(t, hall, len(hall)/3)
	rights := map[string]bool{}
	for _, e := range hall {
		if !slices.Contains(whole, e) && !slices.Contains(few, e) {
			continue
		}
		t.Run(strings.TrimSuffix(filepath.Base(e.file), ".lua"), func(t *testing.T) {
			if !slices.Contains(whole, e) {
				e.failsInFew(t)
				return
			}
			e.fails(t)
			if key := e.right + e.trial + e.world; !rights[key] {
				rights[key] = true
				e.rightPasses(t)
			}
		})
	}
}

// fails holds the wrong procedure against what its head says.
func (e exhibit) fails(t *testing.T) {
	rep := e.run(t, e.file, museumSeeds)
	w := rep.Worlds[0]
	if w.Passed > museumLuck || w.Failed > 0 {
		tell(t, rep)
		t.Fatalf("%d of %d seeds pass and %d end with an error, want at most %d and none", w.Passed, rep.Seeds, w.Failed, museumLuck)
	}
	i := slices.IndexFunc(w.Checks, func(c trial.Check) bool { return c.ID == e.claims.value })
	if i < 0 {
		t.Fatalf("the trial %s expects no value %s", e.trial, e.claims.value)
	}
	if why := e.claims.holds(&w.Checks[i]); why != "" {
		tell(t, rep)
		t.Errorf("%s is not as the head says (%s): %s", e.claims.value, e.claims.asStated, why)
	}
	for _, c := range w.Checks {
		if c.Missing > 0 {
			t.Errorf("the value %s is missing: that is a hole and no mistake", c.ID)
		}
	}
}

// failsInFew wants the wrong procedure to fail in one of three seeds. One that
// fails in 19 of 20 passes in all three once in 8,000 times.
func (e exhibit) failsInFew(t *testing.T) {
	rep := e.run(t, e.file, 3)
	if w := rep.Worlds[0]; w.Passed == rep.Seeds || w.Failed > 0 {
		tell(t, rep)
		t.Errorf("%d of %d seeds pass and %d end with an error, want fewer and none", w.Passed, rep.Seeds, w.Failed)
	}
}

// rightPasses runs what does it right in the same world.
func (e exhibit) rightPasses(t *testing.T) {
	rep := e.run(t, e.inMuseum(e.right), museumSeeds)
	if w := rep.Worlds[0]; w.Passed < museumSeeds-museumLuck {
		tell(t, rep)
		t.Errorf("%s passes in %d of %d seeds, want %d or more", e.right, w.Passed, rep.Seeds, museumSeeds-museumLuck)
	}
	if len(rep.Notes) > 0 {
		t.Errorf("the trial %s is not one of %s: %s", e.trial, e.right, strings.Join(rep.Notes, "; "))
	}
}

// onlyWorld takes all worlds but one out of a trial.
func onlyWorld(tr *trial.Trial, name string) error {
	var names []string
	for _, w := range tr.Worlds {
		names = append(names, strconv.Quote(w.Name))
	}
	tr.Worlds = slices.DeleteFunc(tr.Worlds, func(w trial.NamedWorld) bool { return w.Name != name })
	if len(tr.Worlds) != 1 {
		return fmt.Errorf("has no world %q, want %s", name, strings.Join(names, " or "))
	}
	return nil
}

// A head that names no world of its trial is told which ones there are.
func TestMuseumWorlds(t *testing.T) {
	tr := &trial.Trial{Worlds: []trial.NamedWorld{{Name: "phone"}, {Name: "warming"}}}
	if err := onlyWorld(tr, "warming"); err != nil || len(tr.Worlds) != 1 || tr.Worlds[0].Name != "warming" {
		t.Errorf("left are %v, %v", tr.Worlds, err)
	}
	const want = `has no world "default with warmup.on_for", want "warming"`
	if err := onlyWorld(tr, "default with warmup.on_for"); err == nil || err.Error() != want {
		t.Errorf("error %v, want %s", err, want)
	}
}

// run puts a procedure through the trial in the one world.
func (e exhibit) run(t *testing.T, procedure string, seeds int) *trial.Report {
	t.Helper()
	tr, err := trial.Find(t.Context(), e.inMuseum(e.trial), scripts.Files)
	if err != nil {
		t.Fatal(err)
	}
	if err := onlyWorld(tr, e.world); err != nil {
		t.Fatalf("the trial %s %v", e.trial, err)
	}
	r := runner()
	r.Procedure, r.Seeds = procedure, seeds
	rep, err := r.Run(t.Context(), tr)
	if err != nil {
		t.Fatal(err)
	}
	return rep
}

// inMuseum gives the path of what lies in the museum; a shipped name stays.
func (exhibit) inMuseum(name string) string {
	if strings.HasSuffix(name, ".lua") {
		return filepath.Join(museum, name)
	}
	return name
}

// holds says in what way a check is not as claimed, "" where it is.
func (c claim) holds(got *trial.Check) string {
	switch {
	case got.Unit != c.unit:
		return fmt.Sprintf("its unit is %q, want %q", got.Unit, c.unit)
	case got.Wrong < museumShown:
		return fmt.Sprintf("it is wrong in %d seeds, want %d or more", got.Wrong, museumShown)
	case got.Bias == nil || got.Scatter == nil:
		return "there is no number"
	case c.kind == "Bias" && (*got.Bias < c.low || *got.Bias > c.high):
		return fmt.Sprintf("its bias is %.4g", *got.Bias)
	case c.kind == "Scatter" && *got.Scatter < c.low:
		return fmt.Sprintf("its scatter is %.4g", *got.Scatter)
	}
	return ""
}

// exhibits reads the heads of all wrong procedures.
func exhibits(t *testing.T) []exhibit {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(museum, "*.lua"))
	if err != nil {
		t.Fatal(err)
	}
	var all []exhibit
	for _, file := range files {
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		e, err := readHead(string(src))
		if err != nil {
			t.Errorf("%s: %v", file, err)
			continue
		}
		e.file = file
		all = append(all, e)
	}
	return all
}

var (
	headField = regexp.MustCompile(`^-- ([A-Z][a-z]+): (.+)$`)
	bias      = regexp.MustCompile(`^([a-z0-9-]+) (-?[0-9.]+) to (-?[0-9.]+)(?: (\S+))?$`)
	scatter   = regexp.MustCompile(`^([a-z0-9-]+) ([0-9.]+)(?: (\S+))? or more$`)
)

// readHead reads the comment at the top of a wrong procedure. It fails where a
// field is missing or unknown, and where a claim cannot be read.
func readHead(src string) (e exhibit, err error) {
	fields := map[string]string{}
	last := ""
	for line := range strings.Lines(src) {
		line = strings.TrimSpace(line)
		if m := headField.FindStringSubmatch(line); m != nil {
			last = m[1]
			fields[last] = m[2]
		} else if more, ok := strings.CutPrefix(line, "--   "); ok && last != "" {
			fields[last] += " " + more
		} else {
			break
		}
	}
	for _, name := range []string{"Mistake", "Lesson", "Right", "Trial"} {
		if fields[name] == "" {
			return e, fmt.Errorf("the head has no %s", name)
		}
	}
	if len(fields) != 5 {
		return e, fmt.Errorf("the head has %d fields, want Mistake, Lesson, Right, Trial, and one of Bias and Scatter", len(fields))
	}
	e.right = fields["Right"]
	var found bool
	if e.trial, e.world, found = strings.Cut(fields["Trial"], ", "); !found {
		return e, fmt.Errorf("the trial %q names no world", e.trial)
	}
	e.claims, err = readClaim(cmp.Or(fields["Bias"], fields["Scatter"]))
	return e, err
}

// readClaim reads "gamma -0.3 to -0.1" or "contrast 5 % or more". A bias that
// may be none claims nothing, and is refused.
func readClaim(text string) (c claim, err error) {
	c.asStated = text
	if m := bias.FindStringSubmatch(text); m != nil {
		low, errLow := strconv.ParseFloat(m[2], 64)
		high, errHigh := strconv.ParseFloat(m[3], 64)
		c.kind, c.value, c.low, c.high, c.unit = "Bias", m[1], low, high, m[4]
		if errLow != nil || errHigh != nil || low > high || low*high <= 0 {
			err = fmt.Errorf("the bias %q is none: want two numbers of one sign, the lower first", text)
		}
		return c, err
	}
	if m := scatter.FindStringSubmatch(text); m != nil {
		low, err := strconv.ParseFloat(m[2], 64)
		c.kind, c.value, c.low, c.high, c.unit = "Scatter", m[1], low, math.Inf(1), m[3]
		if err != nil || low <= 0 {
			return c, fmt.Errorf("the scatter %q is none: want a number above 0", text)
		}
		return c, nil
	}
	return c, fmt.Errorf(`the claim %q cannot be read, want "gamma -0.3 to -0.1" or "contrast 5 %% or more"`, text)
}

// Heads that say too little are refused.
func TestMuseumHeads(t *testing.T) {
	whole := "-- Mistake: a\n-- Lesson: b\n--   c\n-- Right: d\n-- Trial: e, f g\n-- Bias: h 1 to 2 %\nreturn\n"
	e, err := readHead(whole)
	if err != nil {
		t.Fatal(err)
	}
	if want := (claim{"Bias", "h", 1, 2, "%", "h 1 to 2 %"}); e.right != "d" || e.trial != "e" || e.world != "f g" || e.claims != want {
		t.Errorf("the head is read as %+v", e)
	}
	for _, tt := range []struct{ from, to, want string }{
		{"-- Lesson: b\n", "", "no Lesson"},
		{"-- Right: d\n", "", "no Right"},
		{"-- Bias: h 1 to 2 %\n", "", "4 fields"},
		{"e, f g", "e", "names no world"},
		{"h 1 to 2 %", "h -1 to 2 %", "is none"},
		{"h 1 to 2 %", "h 2 to 1 %", "is none"},
		{"h 1 to 2 %", "much", "cannot be read"},
		{"h 1 to 2 %", "h 0 % or more", "is none"},
	} {
		_, err := readHead(strings.Replace(whole, tt.from, tt.to, 1))
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("with %q in place of %q: %v, want an error with %q", tt.to, tt.from, err, tt.want)
		}
	}
}

// The museum's page names every wrong procedure, and nothing lies about unused.
func TestMuseumIsInOrder(t *testing.T) {
	page, err := os.ReadFile(filepath.Join(museum, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	used := map[string]bool{}
	for _, e := range exhibits(t) {
		used[e.right], used[e.trial] = true, true
		if name := filepath.Base(e.file); !strings.Contains(string(page), "`"+name+"`") {
			t.Errorf("README.md does not name %s", name)
		}
	}
	for _, folder := range []string{"right", "trials"} {
		files, err := filepath.Glob(filepath.Join(museum, folder, "*.lua"))
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range files {
			if name := folder + "/" + filepath.Base(file); !used[name] {
				t.Errorf("nobody names %s", name)
			}
		}
	}
}
