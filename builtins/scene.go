package builtins

import (
	"maps"

	"candelua/engine/bench"
	"candelua/engine/script"
)

// scene is what is so at the bench now. It follows from the steps' answers
// alone.
type scene struct {
	patch   *bench.Patch
	lit     float64    // when the patch was lit, script time in seconds
	pending bool       // a person has yet to say that it is lit
	off     bool       // the unit is switched off
	path    bench.Path // how the patch reached the panel; empty where the source does not say
	hdr     string     // who says that the unit shows HDR; empty for SDR, or where nobody need say so
	late    float64    // by how much the light is later than the source painted the patch, s
	read    bench.Path // the path of the last reading of one that says it

	delays    map[bench.Signal]delay // from painted to light, as measured
	confirmed map[bench.Path]string  // that the unit shows HDR, by a person
	aimed     map[string]bool        // meters that looked at a place of its own for their last reading
	settings  map[string]any
	asked     int                // how often a person was asked something
	rig       map[string]float64 // levels, angles and places; nil before the first
	parts     []string
	count     countOf         // of the readings in the innermost part that says how many it has
	steady    bool            // the next reading is taken once the light no longer changes, if a person takes it
	texts     int             // how often run.text_by was called
	told      map[string]bool // doubts that a note has told of, and meters whose correction was looked at
}

// countOf is how many readings there were, of how many; 0 where the script does not say.
type countOf struct {
	done, of int
	atMost   bool // there may be fewer
}

func sceneOf(c *script.Call) *scene {
	s := script.State[scene](c)
	if s.told == nil {
		s.told = map[string]bool{}
		s.settings = map[string]any{}
		s.aimed = map[string]bool{}
	}
	return s
}

var _ script.Saver = (*scene)(nil)

// Save implements [script.Saver]: once on_resume is over, the engine puts the
// bench back as it was.
func (s *scene) Save() (restore func()) {
	was := *s
	return func() {
		s.count = was.count
		s.patch, s.lit, s.pending, s.off, s.settings, s.asked, s.rig = was.patch, was.lit, was.pending, was.off, was.settings, was.asked, was.rig
		s.path, s.hdr, s.late = was.path, was.hdr, was.late
	}
}

// plainUnit writes the names that luminance's unit goes by as one.
func plainUnit(unit string) string {
	switch unit {
	case "cd/m²", "nit", "nits":
		return "cd/m2"
	}
	return unit
}

// set keeps settings; the map is replaced, since rows of readings hold it.
func (s *scene) set(settings map[string]any) {
	next := maps.Clone(s.settings)
	maps.Copy(next, settings)
	s.settings = next
}

// put keeps how the rig stands, by what it is and its unit; the map is
// replaced, since rows of readings hold it.
func (s *scene) put(levels map[string]float64) {
	next := map[string]float64{}
	maps.Copy(next, s.rig)
	maps.Copy(next, levels)
	s.rig = next
}

// surround is how the rig stands for a reading. A meter that looks at a place of
// its own for one reading is there for that reading only.
func (s *scene) surround(at *[2]float64) map[string]float64 {
	if at == nil {
		return s.rig
	}
	here := scene{rig: s.rig}
	here.put(meterAt(*at))
	return here.rig
}

// meterAt is where the meter looks, as the list of readings names it.
func meterAt(at [2]float64) map[string]float64 {
	return map[string]float64{"meter x": at[0], "meter y": at[1]}
}

// seen is the patch that a reading is of: none while the unit is off, which the rules
// before 4 did not know.
func (s *scene) seen(c *script.Call) *bench.Patch {
	if s.off && c.Since(4) {
		return nil
	}
	return s.patch
}

// home is where a meter looks that no reading sends elsewhere.
func (s *scene) home() [2]float64 {
	if x, placed := s.rig["meter x"]; placed {
		return [2]float64{x, s.rig["meter y"]}
	}
	if s.patch != nil {
		return s.patch.Middle()
	}
	return [2]float64{0.5, 0.5}
}

// part is the innermost named stretch of the run.
func (s *scene) part() string {
	if len(s.parts) == 0 {
		return ""
	}
	return s.parts[len(s.parts)-1]
}
