package builtins

import (
	"fmt"
	"strings"
	"testing"

	"candelua/engine/script"
)

// goodCalls are the arguments of one call of each function of the colour module: those by place,
// and those by name.
var goodCalls = map[string]struct {
	places []string
	names  map[string]string
}{
	"colour.spectrum_to_xyz":        {[]string{"flat"}, map[string]string{"observer": "'1964'"}},
	"colour.cmf":                    {[]string{"555"}, map[string]string{"observer": "'1931'"}},
	"colour.melanopic":              {[]string{"flat"}, nil},
	"colour.peak":                   {[]string{"hump"}, nil},
	"colour.fwhm":                   {[]string{"hump"}, nil},
	"colour.resample":               {[]string{"hump"}, map[string]string{"from": "450", "to": "600", "step": "5"}},
	"colour.illuminant":             {[]string{"'D65'"}, nil},
	"colour.daylight_spectrum":      {[]string{"6500"}, map[string]string{"nominal": "true"}},
	"colour.planck":                 {[]string{"2856"}, nil},
	"colour.xyz":                    {[]string{"grey"}, nil},
	"colour.xy":                     {[]string{"grey"}, nil},
	"colour.uv":                     {[]string{"grey"}, nil},
	"colour.uv1960":                 {[]string{"grey"}, nil},
	"colour.cct":                    {[]string{"grey"}, nil},
	"colour.cct_to_xy":              {[]string{"6500", "0.003"}, nil},
	"colour.planckian":              {[]string{"6500"}, nil},
	"colour.daylight":               {[]string{"6500"}, map[string]string{"nominal": "true"}},
	"colour.daylight_offset":        {[]string{"grey"}, map[string]string{"target": "'d65'"}},
	"colour.dominant":               {[]string{"red"}, map[string]string{"white": "'d65'"}},
	"colour.spectrum_locus":         {[]string{"500"}, nil},
	"colour.space":                  {nil, map[string]string{"red": "red", "green": "green", "blue": "blue", "white": "grey", "name": "'own'"}},
	"colour.rgb_to_xyz":             {nil, map[string]string{"r": "1", "g": "0.5", "b": "0.2", "space": "'bt709'", "white": "100"}},
	"colour.xyz_to_rgb":             {[]string{"grey"}, map[string]string{"space": "'bt2020'", "white": "100"}},
	"colour.rgb_matrix":             {[]string{"'p3-d65'"}, map[string]string{"inverse": "true"}},
	"colour.luminance_shares":       {[]string{"'p3-dci'"}, nil},
	"colour.lab":                    {[]string{"red"}, map[string]string{"white": "grey"}},
	"colour.lab_to_xyz":             {nil, map[string]string{"L": "50", "a": "1", "b": "2", "white": "grey"}},
	"colour.lch":                    {[]string{"red"}, map[string]string{"white": "grey", "in": "'luv'"}},
	"colour.lch_to_lab":             {nil, map[string]string{"L": "50", "C": "1", "h": "2"}},
	"colour.luv":                    {[]string{"red"}, map[string]string{"white": "grey"}},
	"colour.luv_to_xyz":             {nil, map[string]string{"L": "50", "u_star": "1", "v_star": "2", "white": "grey"}},
	"colour.lightness":              {[]string{"0.5"}, nil},
	"colour.lightness_to_light":     {[]string{"50"}, nil},
	"colour.ictcp":                  {[]string{"red"}, nil},
	"colour.ictcp_to_xyz":           {nil, map[string]string{"I": "0.5", "Ct": "0.1", "Cp": "0.1"}},
	"colour.cam16":                  {[]string{"red"}, map[string]string{"white": "grey", "adapting": "20", "background": "0.2", "surround": "'dark'"}},
	"colour.adapt":                  {[]string{"red"}, map[string]string{"from": "'d50'", "to": "'d65'", "method": "'bradford'"}},
	"colour.delta_uv":               {[]string{"0.1", "0.2", "0.3", "0.4"}, nil},
	"colour.delta_e2000":            {nil, map[string]string{"a": "red", "b": "green", "white": "grey", "kL": "2", "kC": "2", "kH": "2"}},
	"colour.delta_e94":              {nil, map[string]string{"a": "red", "b": "green", "white": "grey", "trade": "'textiles'"}},
	"colour.delta_e76":              {nil, map[string]string{"a": "red", "b": "green", "white": "grey"}},
	"colour.delta_e_uv":             {nil, map[string]string{"a": "red", "b": "green", "white": "grey"}},
	"colour.delta_e_itp":            {nil, map[string]string{"a": "red", "b": "green"}},
	"colour.delta_e_cam16":          {nil, map[string]string{"a": "red", "b": "green", "white": "grey", "adapting": "20", "background": "0.2", "surround": "'average'"}},
	"colour.delta_lch":              {nil, map[string]string{"a": "red", "b": "green", "white": "grey"}},
	"colour.delta_lch2000":          {nil, map[string]string{"a": "red", "b": "green", "white": "grey"}},
	"colour.delta_itp":              {nil, map[string]string{"a": "red", "b": "green"}},
	"colour.list":                   {[]string{"{ red, green }"}, nil},
	"colour.triples":                {[]string{"{ 1, 2, 3 }"}, map[string]string{"of": "'Lab'"}},
	"colour.join":                   {[]string{"{ colour.list { red } }"}, nil},
	"colours:at":                    {[]string{"colour.list { red }", "1"}, nil},
	"colours:numbers":               {[]string{"colour.list { red }"}, nil},
	"numbers:at":                    {[]string{"colour.delta_e76 { a = { 1, 2, 3 }, b = { 4, 5, 6 }, packed = true }", "1"}, nil},
	"numbers:list":                  {[]string{"colour.delta_e76 { a = { 1, 2, 3 }, b = { 4, 5, 6 }, packed = true }"}, nil},
	"colour.pq_to_luminance":        {[]string{"0.5"}, nil},
	"colour.luminance_to_pq":        {[]string{"100"}, nil},
	"colour.srgb_to_light":          {[]string{"0.5"}, nil},
	"colour.light_to_srgb":          {[]string{"0.5"}, nil},
	"colour.bt1886":                 {nil, map[string]string{"signal": "0.5", "white": "100", "black": "0.1"}},
	"colour.luminance_to_bt1886":    {nil, map[string]string{"luminance": "50", "white": "100", "black": "0.1"}},
	"colour.power_to_luminance":     {nil, map[string]string{"signal": "0.5", "gamma": "2.2", "white": "100", "black": "0.1"}},
	"colour.luminance_to_power":     {nil, map[string]string{"luminance": "50", "gamma": "2.2", "white": "100", "black": "0.1"}},
	"colour.hlg_to_luminance":       {nil, map[string]string{"signal": "0.5", "white": "1000", "black": "0.1"}},
	"colour.luminance_to_hlg":       {nil, map[string]string{"luminance": "50", "white": "1000", "black": "0.1"}},
	"colour.hlg_rgb":                {nil, map[string]string{"r": "0.5", "g": "0.2", "b": "0", "white": "1000", "black": "0.1"}},
	"colour.rgb_to_hlg":             {nil, map[string]string{"r": "50", "g": "20", "b": "0", "white": "1000", "black": "0.1"}},
	"colour.hlg_gamma":              {[]string{"1000"}, map[string]string{"extended": "true"}},
	"colour.hlg_scene":              {[]string{"0.5"}, nil},
	"colour.scene_to_hlg":           {[]string{"0.5"}, nil},
	"colour.rolloff_to_luminance":   {nil, map[string]string{"signal": "0.5", "source_white": "1000", "source_black": "0.001", "white": "500", "black": "0.1"}},
	"colour.luminance_to_rolloff":   {nil, map[string]string{"luminance": "50", "source_white": "1000", "source_black": "0.001", "white": "500", "black": "0.1"}},
	"colour.code":                   {[]string{"0.5"}, map[string]string{"bits": "8", "range": "'full'"}},
	"colour.code_to_signal":         {[]string{"100"}, map[string]string{"bits": "8", "range": "'full'"}},
	"colour.effective_gamma":        {nil, map[string]string{"signals": "{ 0.1, 0.5, 1 }", "luminances": "{ 1, 20, 100 }", "black": "0.1"}},
	"colour.point_gamma":            {nil, map[string]string{"signal": "0.5", "luminance": "20", "white": "100", "black": "0.1"}},
	"colour.local_gamma":            {nil, map[string]string{"signal1": "0.1", "luminance1": "1", "signal2": "0.5", "luminance2": "20", "black": "0.1"}},
	"colour.tone_deviation":         {nil, map[string]string{"signal": "0.5", "luminance": "20", "white": "100", "black": "0.1", "curve": "'power'", "gamma": "2.4"}},
	"colour.gamut":                  {nil, map[string]string{"red": "red", "green": "green", "blue": "blue", "space": "'bt2020'", "diagram": "'xy'"}},
	"colour.gamut_area":             {nil, map[string]string{"red": "red", "green": "green", "blue": "blue", "diagram": "'xy'"}},
	"colour.gamut_polygons":         {nil, map[string]string{"display": "{ red, green, blue }", "target": "{ red, green, 'd65' }", "diagram": "'xy'"}},
	"colour.gamut_volume":           {nil, map[string]string{"space": "'bt709'", "in": "'ictcp'", "white": "100", "steps": "2"}},
	"colour.mesh_volume":            {nil, map[string]string{"signals": "cube", "colours": "lights", "in": "'lab'", "white": "grey"}},
	"colour.four_colour":            {nil, map[string]string{"reference": "{ red = red, green = green, blue = blue, white = grey }", "target": "{ red = red, green = green, blue = blue, white = grey }"}},
	"colour.matrix_correction":      {nil, map[string]string{"reference": "{ red, green, blue }", "target": "{ red, green, blue }"}},
	"correction:apply":              {[]string{"colour.matrix_correction { reference = { red, green, blue }, target = { red, green, blue } }", "red"}, nil},
	"colour.additivity":             {nil, map[string]string{"red": "red", "green": "green", "blue": "blue", "white": "grey", "black": "{ X = 0, Y = 0, Z = 0 }"}},
	"colour.contrast":               {[]string{"100", "0.1"}, nil},
	"colour.checkerboard_contrast":  {nil, map[string]string{"white": "{ 100, 101 }", "black": "{ 0.1, 0.2 }"}},
	"colour.michelson":              {[]string{"100", "0.1"}, nil},
	"colour.ambient_contrast":       {nil, map[string]string{"white": "100", "black": "0.1", "lux": "100", "reflectance": "0.02"}},
	"colour.diffuse_reflectance":    {nil, map[string]string{"lit": "2", "dark": "1", "lux": "100"}},
	"colour.lambertian_luminance":   {nil, map[string]string{"lux": "100", "reflectance": "0.5"}},
	"colour.lambertian_illuminance": {nil, map[string]string{"luminance": "100", "reflectance": "0.5"}},
	"colour.lambertian_exitance":    {[]string{"100"}, nil},
	"colour.disc_illuminance":       {nil, map[string]string{"luminance": "100", "radius": "0.1", "distance": "1"}},
	"colour.inverse_square":         {nil, map[string]string{"intensity": "100", "distance": "1", "tilt": "30"}},
	"colour.stops":                  {[]string{"100", "1"}, nil},
	"colour.footlambert":            {[]string{"100"}, nil},
	"colour.from_footlambert":       {[]string{"100"}, nil},
	"colour.from_footcandle":        {[]string{"100"}, nil},
	"colour.cone_solid_angle":       {[]string{"1"}, nil},
	"colour.spot_diameter":          {nil, map[string]string{"distance": "1", "angle": "1"}},
	"colour.screen":                 {nil, map[string]string{"diagonal": "6.3", "width": "1080", "height": "2400", "distance": "0.3"}},
	"colour.window":                 {nil, map[string]string{"diagonal": "6.3", "width": "1080", "height": "2400", "window": "10"}},
}

// hostileValues are what a script may give by mistake, or by noise.
const hostileValues = `{ 0 / 0, 1 / 0, -1 / 0, 0, -1, 0.5, 1.5, 256, 1e308, -1e308, 1e-320, "x", "bt708", "d65", "BT2020", true, {}, { 1 }, { 1, 2, 3 }, { 0 / 0, 1, 2 }, { 1, "a", {} },
  { 1e308, 1e308, 1e308 }, { { 1, 2, 3 } }, { {} }, { x = 1 }, { X = 0, Y = 0, Z = 0 }, { X = -1, Y = -1, Z = -1 }, { X = -5, Y = 1, Z = 1 }, { X = 1e308, Y = 1e308, Z = 1e308 }, { X = 1e-310, Y = 1e-310, Z = 1e-310 },
  { X = 1, Y = 0, Z = 0 }, { X = 0, Y = 1, Z = 0 }, { X = 0 / 0, Y = 1, Z = 1 }, { x = 0.3, y = 0.3, Y = 0 }, { x = 0.3, y = 0.3, Y = -5 }, { x = 0.3, y = 1e-300, Y = 1e300 }, { x = 0, y = 0 }, { x = 5, y = -7 }, { x = 0.3, y = 0 },
  { x = 1e308, y = 1e308 }, { x = 1.5, y = 0 }, { u = 0, v = 0 }, { u = 0.2, v = 1e-300, Y = 1 }, { u1960 = 0.2, v1960 = 0.3 }, { L = 1e308, a = 1e308, b = 1e308 }, { L = -50, a = 0, b = 0 }, { L = 0 / 0, a = 0, b = 0 }, { L = 0, a = 50, b = 0 },
  { I = 2, Ct = 5, Cp = -5 }, { I = 0 / 0, Ct = 0, Cp = 0 }, { { X = 0, Y = 0, Z = 0 }, { X = 1, Y = 1, Z = 1 } }, { { L = 1, a = 1, b = 1 } }, colour.triples {}, colour.triples({ 1, 2, 3 }, { of = "Lab" }), colour.triples { 1, 2, 3, -4, 5e300, 6 },
  colour.xy("e"), colour.lab({ X = 1, Y = 1, Z = 1 }, { white = { X = 1, Y = 1, Z = 1 } }), function() end, colour.delta_e76 { a = { 1, 2, 3 }, b = { 4, 5, 6 }, packed = true },
  { from = 380, step = 5, values = {} }, { from = 380, step = -5, values = { 1, 2 } }, { from = 380, step = 0 / 0, values = { 1, 2 } }, { from = -1, step = 1, values = { 1, 2 } }, { from = 380, step = 5, values = { 1, 0 / 0, 3 } }, { from = 380, step = 1e-320, values = { 1, 2 } },
  { from = 380, step = 10, values = { 1, 2, 3 } }, { from = 300, step = 200, values = { 1, 2, 3, 4, 5, 6, 7 } }, { from = 380, step = 10, values = 5 }, { from = 380, values = { 1 } }, dim, loud, spike, { red = 1 }, { red = red, green = red, blue = red, white = red }, { red, red, red }, { grey, grey, grey, grey } }`

// hostileSetup is what the calls and the values refer to.
const hostileSetup = `
local flat, hump, dim, loud, spike = { from = 380, step = 5, values = {} }, { from = 400, step = 10, values = {} }, { from = 380, step = 5, values = {} }, { from = 380, step = 5, values = {} }, { from = 380, step = 10, values = {} }
for i = 1, 81 do flat.values[i] = 1; dim.values[i] = 0; loud.values[i] = 1e306 end
for i = 1, 41 do hump.values[i] = math.exp(-((i - 15) / 3) ^ 2); spike.values[i] = i == 20 and 1e300 or -1e300 end
local red, green, blue, grey = { x = 0.64, y = 0.33, Y = 21 }, { x = 0.3, y = 0.6, Y = 71 }, { x = 0.15, y = 0.06, Y = 8 }, { x = 0.3127, y = 0.329, Y = 100 }
local cube, lights = {}, {}
for r = 0, 1 do for g = 0, 1 do for b = 0, 1 do
  cube[#cube + 1] = { r, g, b }
  lights[#lights + 1] = colour.rgb_to_xyz { r = r, g = g, b = b, space = "bt709", white = 100 }
end end end
local hostile = ` + hostileValues + `
local function whole(x, fields, depth)
  local kind = type(x)
  if kind == "number" then return x == x and x < 1 / 0 and x > -1 / 0 end
  if kind == "table" then for _, v in pairs(x) do if not whole(v, fields, depth) then return false end end end
  if kind == "userdata" and depth < 3 then
    for _, f in ipairs(fields) do
      local ok, v = pcall(function() return x[f] end)
      if ok and type(v) ~= "function" and not whole(v, fields, depth + 1) then return false end
    end
  end
  return true
end
local calls, refused = 0, 0
local function try(name, what, fields, f, ...)
  calls = calls + 1
  local ok, x = pcall(f, ...)
  local text = ok and "" or tostring(x)
  if not ok then refused = refused + 1 end
  if ok and not whole(x, fields, 0) then print(name, what, "is not finite", tostring(x)) end
  if text:find("runtime error") or text:find("panic") or text:find("reflect%.") or text:find("%%!") or text:lower():find("%f[%a]nan%f[%A]") and not text:find("is nan") and not text:find("=nan") and not text:find("nan[,;]") and not text:find("nan}") then print(name, what, text) end
end
`

// Whatever a script gives to a function of the colour module, it gets finite numbers or an
// error: no infinity, no NaN, and no failure of ours.
func TestColourWithstandsAnything(t *testing.T) {
	seen := 0
	for _, f := range colourModule().Funcs {
		good, there := goodCalls[f.Name]
		if !there {
			t.Errorf("no good call of %s is known", f.Name)
			continue
		}
		seen++
		r := litRig()
		if err := r.play(t, hostileSetup+hostileCalls(f.Doc(), good.places, good.names)); err != nil {
			t.Errorf("%s: %v", f.Name, err)
			continue
		}
		out := strings.TrimSpace(r.printed.String())
		if !strings.HasPrefix(out, "good\n") && out != "good" || strings.Count(out, "\n") > 0 {
			t.Errorf("%s:\n%s", f.Name, out)
		}
	}
	if seen != len(goodCalls) {
		t.Errorf("%d good calls are of functions that do not exist", len(goodCalls)-seen)
	}
}

// hostileCalls makes one good call, and then one for each hostile value in place of each argument.
func hostileCalls(d script.Doc, places []string, names map[string]string) string {
	var fields []string
	for _, f := range d.Fields {
		fields = append(fields, fmt.Sprintf("%q", f.Name))
	}
	call := func(replaced string) string {
		args := []string{}
		for i, p := range places {
			if replaced == fmt.Sprint(i) {
				p = "v"
			}
			args = append(args, p)
		}
		named := []string{}
		for n, x := range names {
			if replaced == n {
				x = "v"
			}
			named = append(named, fmt.Sprintf("[%q] = %s", n, x))
		}
		if len(names) > 0 {
			args = append(args, "{ "+strings.Join(named, ", ")+" }")
		}
		name := d.Name
		if object, method, isMethod := strings.Cut(name, ":"); isMethod && object != "" {
			name = fmt.Sprintf("(%s)[%q]", args[0], method)
		}
		return fmt.Sprintf("%s(%s)", name, strings.Join(args, ", "))
	}
	list := "{ " + strings.Join(append(fields, `"X"`, `"Y"`, `"Z"`), ", ") + " }"
	body := fmt.Sprintf("local good = %s\nif not whole(good, %s, 0) then error('the good call gives nothing good') end\nprint('good')\n", call(""), list)
	all := []string{}
	for i := range places {
		all = append(all, fmt.Sprint(i))
	}
	for n := range names {
		all = append(all, n)
	}
	for _, a := range all {
		body += fmt.Sprintf("for i, v in ipairs(hostile) do try(%q, %q .. ' ' .. i, %s, function() return %s end) end\n", d.Name, a, list, call(a))
	}
	return body
}
