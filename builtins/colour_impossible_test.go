package builtins

import (
	"fmt"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"

	"candelua/colour"
	"candelua/testdata/campaign"
)

// impossible draws stimuli that no light has, by far more than noise around black: with
// a luminance below 0, without a chromaticity, or with a cone response below 0.
func impossible(t *testing.T, n int) []colour.XYZ {
	t.Helper()
	rng := rand.New(rand.NewPCG(7, 13))
	list := []colour.XYZ{{X: -1, Y: -1, Z: -1}, {X: -50, Y: 1, Z: 1}, {X: 1, Y: -1, Z: 1}, {X: 5, Y: 5, Z: -40}, {X: 1}, {Z: 5}}
	for len(list) < n {
		scale := []float64{1, 30, 1000}[rng.IntN(3)]
		c := colour.XYZ{X: scale * rng.NormFloat64(), Y: scale * rng.NormFloat64(), Z: scale * rng.NormFloat64()}
		_, err := c.UV()
		lms := c.LMS()
		if c.Y < -0.2 || err != nil && c.X+15*c.Y+3*c.Z < -3 || min(lms[0], lms[1], lms[2]) < -0.2 && !(c.X > 0 && c.Y > 0 && c.Z > 0) {
			list = append(list, c)
		}
	}
	return list
}

// An impossible stimulus, in place of any stimulus that a function of the colour module
// takes, gives an error, or numbers that are neither those of black nor those of a grey of
// the same luminance: what is folded into one of these looks like a result.
func TestImpossibleStimuliAreNotFolded(t *testing.T) {
	isStimulus := regexp.MustCompile(`^(red|green|blue|grey)$`)
	stimuli := impossible(t, campaign.Of(t, 16, 200))
	var tables []string
	for _, c := range stimuli {
		tables = append(tables, fmt.Sprintf("{ X = %g, Y = %g, Z = %g }", c.X, c.Y, c.Z))
	}
	fields := []string{`"X"`, `"Y"`, `"Z"`, `"L"`, `"a"`, `"b"`, `"I"`, `"Ct"`, `"Cp"`} // some functions state none: they give one colour or a list
	for _, f := range colourModule().Funcs {
		for _, d := range f.Doc().Fields {
			fields = append(fields, fmt.Sprintf("%q", d.Name))
		}
	}
	slices.Sort(fields)
	fields = slices.Compact(fields)
	tried := map[string]bool{}
	for _, f := range colourModule().Funcs {
		if strings.HasPrefix(f.Name, "colour.gamut") || f.Name == "colour.space" {
			continue // see TestImpossiblePrimaries
		}
		good := goodCalls[f.Name]
		var script strings.Builder
		for _, at := range places(good.places, good.names, isStimulus) {
			tried[f.Name] = true
			fmt.Fprintf(&script, "try(%q, function(v) return %s end)\n", f.Name+", "+at, callWith(f.Name, good.places, good.names, at))
		}
		if script.Len() == 0 {
			continue
		}
		r := litRig()
		err := r.play(t, hostileSetup+`
local impossible, fields = { `+strings.Join(tables, ", ")+` }, { `+strings.Join(fields, ", ")+` }
local known -- of the fields, those that the function's results have
local function shown(x)
  if type(x) ~= "userdata" then return string.format("%.9g", x) end
  local text = ""
  known = known or {}
  if #known == 0 then
    for _, f in ipairs(fields) do if pcall(function() return x[f] end) then known[#known + 1] = f end end
  end
  for _, f in ipairs(known) do
    local v = x[f]
    if type(v) == "number" then text = text .. f .. string.format("=%.9g ", v + 0) end
  end
  return (text:gsub("%-0 ", "0 "))
end
local function try(name, f)
  local plausible = {}
  for _, c in ipairs(impossible) do
    local greys = { { X = 0, Y = 0, Z = 0 }, { x = 0.3127, y = 0.329, Y = c.Y } }
    local ok, x = pcall(f, c)
    if ok and type(x) == "table" then return end
    for i, grey in ipairs(ok and greys or {}) do
      local same, y = pcall(f, grey)
      if same and shown(x) == shown(y) then print(name, c.X, c.Y, c.Z, i == 1 and "is as black" or "is as grey", shown(x)) end
    end
  end
end
`+script.String())
		if err != nil {
			t.Errorf("%s: %v", f.Name, err)
		} else if out := strings.TrimSpace(r.printed.String()); out != "" {
			t.Errorf("%s:\n%s", f.Name, out)
		}
	}
	for _, name := range []string{"colour.luv", "colour.lch", "colour.cam16", "colour.ictcp", "colour.lab", "colour.delta_e_uv", "colour.delta_itp", "colour.delta_e_cam16", "colour.uv", "colour.cct"} {
		if !tried[name] {
			t.Errorf("%s was not tried", name)
		}
	}
}

// places are the arguments of a call whose good value matches.
func places(positions []string, names map[string]string, match *regexp.Regexp) (found []string) {
	for i, p := range positions {
		if match.MatchString(p) {
			found = append(found, fmt.Sprint(i))
		}
	}
	for n, x := range names {
		if match.MatchString(x) {
			found = append(found, n)
		}
	}
	return found
}

// callWith writes a good call, with v in place of one argument.
func callWith(name string, positions []string, names map[string]string, at string) string {
	var args, named []string
	for i, p := range positions {
		if at == fmt.Sprint(i) {
			p = "v"
		}
		args = append(args, p)
	}
	for n, x := range names {
		if at == n {
			x = "v"
		}
		named = append(named, fmt.Sprintf("[%q] = %s", n, x))
	}
	if len(named) > 0 {
		args = append(args, "{ "+strings.Join(named, ", ")+" }")
	}
	if object, method, isMethod := strings.Cut(name, ":"); isMethod && object != "" {
		name = fmt.Sprintf("(%s)[%q]", args[0], method)
	}
	return fmt.Sprintf("%s(%s)", name, strings.Join(args, ", "))
}

// What the functions that refuse an impossible stimulus say, for one and in a list, that
// noise around black is black for them, and that runs by older rules have what they had.
func TestImpossibleStimuliRefused(t *testing.T) {
	const setup = `
local white, dark, below = { X = 95, Y = 100, Z = 109 }, { X = -0.002, Y = -0.001, Z = 0.001 }, { X = -1, Y = -2, Z = 0.5 }
local view = { white = white, adapting = 20 }
`
	const what = " is X -1, Y -2, Z 0.5; it must be " + wantLight
	for call, want := range map[string]string{
		"colour.luv(below, { white = white })":                                                              "colour.luv: colour" + what,
		"colour.lch(below, { white = white, ['in'] = 'luv' })":                                              "colour.lch: colour" + what,
		"colour.delta_e_uv { a = white, b = below, white = white }":                                         "colour.delta_e_uv: b" + what,
		"colour.cam16(below, view)":                                                                         "colour.cam16: colour" + what,
		"colour.delta_e_cam16 { a = below, b = white, white = white, adapting = 20 }":                       "colour.delta_e_cam16: a" + what,
		"colour.delta_e_cam16 { a = { white, white }, b = { white, below }, white = white, adapting = 20 }": "colour.delta_e_cam16: b[2]" + what,
		"colour.lab(below, { white = white })":                                                              "colour.lab: colour" + what,
		"colour.lab({ white, below }, { white = white })":                                                   "colour.lab: colour[2]" + what,
		"colour.delta_e2000 { a = white, b = below, white = white }":                                        "colour.delta_e2000: b" + what,
		"colour.ictcp(below)":                                                                               "colour.ictcp: colour" + what,
		"colour.ictcp { white, below }":                                                                     "colour.ictcp: colour[2]" + what,
		"colour.delta_itp { a = white, b = below }":                                                         "colour.delta_itp: b" + what,
		"colour.delta_e_itp { a = { white, below }, b = { dark, dark } }":                                   "colour.delta_e_itp: a[2]" + what,
	} {
		r := litRig()
		r.fails(t, setup+call, want)
		r = litRig()
		if err := r.play(t, setup+strings.ReplaceAll(call, "below", "dark")); err != nil {
			t.Errorf("%s: noise around black: %v", call, err)
		}
		r = litRig()
		r.rules = 3
		if err := r.play(t, setup+call); err != nil {
			t.Errorf("%s by the rules 3: %v", call, err)
		}
	}
}

// linear are the functions that take a stimulus as numbers: they give it back as others, and say nothing of how it looks.
var linear = []string{"colour.xyz", "colour.xyz_to_rgb", "colour.adapt", "colour.additivity", "correction:apply"}

// TestOneRuleForImpossibleStimuli: in place of any stimulus of any function that says how one looks, one that no light has
// is an error that says so, and none calls it black. So it is with numbers that are too large to be added.
func TestOneRuleForImpossibleStimuli(t *testing.T) {
	isStimulus := regexp.MustCompile(`^(red|green|blue|grey)$`)
	var bad []string
	for _, c := range impossible(t, campaign.Of(t, 24, 200)) {
		if min(c.X, c.Y, c.Z) < -1-0.02*max(0, c.X+c.Y+c.Z) {
			bad = append(bad, fmt.Sprintf("{ X = %g, Y = %g, Z = %g }", c.X, c.Y, c.Z))
		}
	}
	bad = append(bad, "{ u = 2, v = 2, Y = 1 }", "{ X = 1e308, Y = 1e308, Z = 1e308 }", "{ X = -5, Y = 1, Z = 1 }")
	tried := 0
	for _, f := range colourModule().Funcs {
		if slices.Contains(linear, f.Name) {
			continue
		}
		good := goodCalls[f.Name]
		var script strings.Builder
		for _, at := range places(good.places, good.names, isStimulus) {
			tried++
			fmt.Fprintf(&script, "try(%q, function(v) return %s end)\n", f.Name+", "+at, callWith(f.Name, good.places, good.names, at))
		}
		r := litRig()
		err := r.play(t, hostileSetup+`
local function try(name, f)
  for _, v in ipairs { `+strings.Join(bad, ", ")+` } do
    local ok, e = pcall(f, v)
    local text = tostring(e)
    if ok or text:find("black, measure") or not (text:find("stimulus") or text:find("chromaticity of light")) then print(name, v.X or v.u, v.Y, v.Z, text) end
  end
end
`+script.String())
		if out := strings.TrimSpace(r.printed.String()); err != nil || out != "" {
			t.Errorf("%s: %v\n%s", f.Name, err, out)
		}
	}
	if tried < 20 {
		t.Errorf("%d places were tried", tried)
	}
}
