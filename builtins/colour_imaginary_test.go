package builtins

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"candelua/colour"
	"candelua/testdata/campaign"
)

// standardPrimaries are red, green and blue of spaces that standards define, from memory: ITU-R BT.709 and BT.2020,
// SMPTE ST 2065-1 (ACES2065-1, whose green and blue are imaginary), ACEScg of the ACES documentation (S-2014-004, whose primaries lie just
// outside of the spectral locus), and ROMM RGB of ISO 22028-2 (whose green and blue are imaginary).
var standardPrimaries = map[string][3]colour.XY{
	"BT.709":     {{X: 0.64, Y: 0.33}, {X: 0.3, Y: 0.6}, {X: 0.15, Y: 0.06}},
	"BT.2020":    {{X: 0.708, Y: 0.292}, {X: 0.17, Y: 0.797}, {X: 0.131, Y: 0.046}},
	"ACES2065-1": {{X: 0.7347, Y: 0.2653}, {X: 0, Y: 1}, {X: 0.0001, Y: -0.077}},
	"ACEScg":     {{X: 0.713, Y: 0.293}, {X: 0.165, Y: 0.83}, {X: 0.128, Y: 0.044}},
	"ROMM RGB":   {{X: 0.7347, Y: 0.2653}, {X: 0.1596, Y: 0.8404}, {X: 0.0366, Y: 0.0001}},
}

// shoelace is the area of a triangle by the coordinates of its corners.
func shoelace(p [3]colour.XY) float64 {
	return math.Abs(p[0].X*(p[1].Y-p[2].Y)+p[1].X*(p[2].Y-p[0].Y)+p[2].X*(p[0].Y-p[1].Y)) / 2
}

func written(p [3]colour.XY) string {
	return fmt.Sprintf("red = { x = %g, y = %g }, green = { x = %g, y = %g }, blue = { x = %g, y = %g }", p[0].X, p[0].Y, p[1].X, p[1].Y, p[2].X, p[2].Y)
}

// TestStandardSpacesAreTaken: a space of any standard can be made, compared and filled in CIELAB, also where its primaries
// are imaginary.
func TestStandardSpacesAreTaken(t *testing.T) {
	for name, p := range standardPrimaries {
		r := litRig()
		if err := r.play(t, fmt.Sprintf(`
local space = colour.space { %[1]s, white = "d65" }
local g = colour.gamut { %[1]s, space = space, diagram = "xy" }
local c = colour.rgb_to_xyz { r = 1, g = 1, b = 1, space = space }
print(colour.gamut_area { %[1]s, diagram = "xy" }, g.area, g.target_area, g.coverage, c.Y, colour.gamut_volume { space = space, steps = 4 } > 0)`, written(p))); err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		var area, own, target, coverage, white float64
		var filled bool
		if _, err := fmt.Sscan(r.printed.String(), &area, &own, &target, &coverage, &white, &filled); err != nil || !filled {
			t.Errorf("%s: %q: %v", name, r.printed.String(), err)
		}
		want := shoelace(p)
		for _, a := range []float64{area / want, own / want, target / want, coverage, white} {
			if math.Abs(a-1) > 1e-9 {
				t.Errorf("%s: areas %v, %v, %v (want %v), coverage %v and white %v (want 1)", name, area, own, target, want, coverage, white)
				break
			}
		}
	}
}

// TestImaginarySpaceInICtCp: ICtCp has no numbers for some colours of a space with imaginary primaries, so
// its volume there is an error. It was too small by the rules 3.
func TestImaginarySpaceInICtCp(t *testing.T) {
	for name, p := range standardPrimaries {
		body := fmt.Sprintf("print(colour.gamut_volume { space = colour.space { %s, white = 'd65' }, ['in'] = 'ictcp', white = 1000, steps = 4 })", written(p))
		err := litRig().play(t, body)
		real := strings.HasPrefix(name, "BT.") || name == "ACEScg"
		if real && err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if !real && (err == nil || !strings.Contains(err.Error(), " of the space is X ") || !strings.Contains(err.Error(), "it must be a stimulus with cone responses L, M and S")) {
			t.Errorf("%s: got %v", name, err)
		}
		r := litRig()
		r.rules = 3
		if err := r.play(t, body); err != nil {
			t.Errorf("%s by the rules 3: %v", name, err)
		}
	}
}

// TestImpossiblePrimaries: a stimulus that no light has is refused in place of any measured primary, white or colour of
// a mesh in ICtCp, and by the rules 3 where it was.
func TestImpossiblePrimaries(t *testing.T) {
	calls := []string{
		"colour.gamut_area { red = v, green = green, blue = blue }",
		"colour.gamut_area { red = red, green = v, blue = blue, diagram = 'xy' }",
		"colour.gamut { red = red, green = green, blue = v, space = 'bt2020' }",
		"colour.gamut_polygons { display = { red, v, blue }, target = { red, green, blue } }",
		"colour.gamut_polygons { display = { red, green, blue }, target = { v, green, blue }, diagram = 'xy' }",
		"colour.space { red = red, green = green, blue = v, white = 'd65' }",
		"colour.space { red = red, green = green, blue = blue, white = v }",
	}
	var tables []string
	for _, c := range impossible(t, campaign.Of(t, 40, 400)) {
		if sum := c.X + c.Y + c.Z; c.Y > 0 && sum > 0 && min(c.X, c.Y, c.Z) > -2*beyondTriangle*sum {
			continue // so little that it may be an error of the meter
		}
		tables = append(tables, fmt.Sprintf("{ X = %g, Y = %g, Z = %g }", c.X, c.Y, c.Z))
	}
	for _, call := range calls {
		r := litRig()
		if err := r.play(t, hostileSetup+`
for _, v in ipairs { `+strings.Join(tables, ", ")+` } do
  local ok, e = pcall(function() return `+call+` end)
  if ok then print("taken:", v.X, v.Y, v.Z) end
end`); err != nil {
			t.Errorf("%s: %v", call, err)
		} else if out := r.printed.String(); out != "" {
			t.Errorf("%s:\n%s", call, out)
		}
	}
	const cyan = "local v = { X = -1, Y = 1, Z = 1 }\n"
	for _, call := range calls {
		r := litRig()
		r.rules = 3
		if err := r.play(t, hostileSetup+cyan+"return "+call); err != nil && !strings.Contains(err.Error(), "white") {
			t.Errorf("%s by the rules 3: %v", call, err)
		}
	}
	litRig().fails(t, hostileSetup+cyan+calls[0], "colour.gamut_area: red is X -1, Y 1, Z 1; it must be a stimulus of light, whose X, Y and Z are not below 0, or noise around black")
	litRig().fails(t, hostileSetup+`lights[3] = { X = -1, Y = -2, Z = 0.5 } colour.mesh_volume { signals = cube, colours = lights, ["in"] = "ictcp" }`,
		"colour.mesh_volume: colours[3] is X -1, Y -2, Z 0.5; it must be a stimulus of light, whose X, Y and Z are not below 0, or noise around black")
}
