package builtins

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// publishedRows reads a table of testdata/published, whose head names its
// source.
func publishedRows(t testing.TB, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "published", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	records, err := r.ReadAll()
	if err != nil || len(records) < 2 {
		t.Fatalf("%s: %d records, %v", name, len(records), err)
	}
	rows := make([]map[string]string, len(records)-1)
	for i, record := range records[1:] {
		rows[i] = map[string]string{}
		for j, column := range records[0] {
			rows[i][column] = record[j]
		}
	}
	return rows
}

// claim is a number that a script must give.
type claim struct {
	expr string
	want string  // as it is published
	tol  float64 // absolute, and relative too
}

// holds runs claims in scripts, a hundred at a time.
func holds(t *testing.T, setup string, claims []claim) {
	t.Helper()
	if len(claims) == 0 {
		t.Fatal("nothing is claimed")
	}
	for start := 0; start < len(claims); start += 100 {
		part := claims[start:min(start+100, len(claims))]
		body := setup + "\n"
		for _, c := range part {
			body += "print(string.format('%.17g', " + c.expr + "))\n"
		}
		r := newRig()
		if err := r.play(t, body); err != nil {
			t.Fatal(err)
		}
		lines := strings.Split(strings.TrimSpace(r.printed.String()), "\n")
		for i, c := range part {
			got, err := strconv.ParseFloat(lines[i], 64)
			want, err2 := strconv.ParseFloat(c.want, 64)
			if err != nil || err2 != nil || math.Abs(got-want) > c.tol*math.Max(1, math.Abs(want)) {
				t.Errorf("%s is %s, want %s", c.expr, lines[i], c.want)
			}
		}
	}
}

// Source: Sharma, Wu and Dalal 2005, table 1, by each pair and by one call.
func TestColourPublishedCIEDE2000(t *testing.T) {
	var claims []claim
	var a, b []string
	for i, r := range publishedRows(t, "ciede2000_sharma.csv") {
		p := fmt.Sprintf("%s, %s, %s", r["L1"], r["a1"], r["b1"])
		q := fmt.Sprintf("%s, %s, %s", r["L2"], r["a2"], r["b2"])
		a, b = append(a, p), append(b, q)
		one := strings.NewReplacer("#", p, "@", q).Replace("colour.delta_e2000 { a = colour.triples({ # }, { of = 'Lab' }):at(1), b = colour.triples({ @ }, { of = 'Lab' }):at(1) }")
		claims = append(claims, claim{one, r["delta_e_00"], 5.1e-5}, claim{fmt.Sprintf("all[%d]", i+1), r["delta_e_00_10digits"], 1e-9}, claim{fmt.Sprintf("kept[%d]", i+1), r["delta_e_00_10digits"], 1e-9})
	}
	numbers := "local A, B = { " + strings.Join(a, ", ") + " }, { " + strings.Join(b, ", ") + " }\n"
	holds(t, numbers+"local all = colour.delta_e2000 { a = A, b = B }\n"+
		"local kept = colour.delta_e2000 { a = colour.triples(A, { of = 'Lab' }), b = colour.triples(B, { of = 'Lab' }) }", claims)
}

// Sources: as the files say: CIE 15 and Ohno 2014 by exact minimisation.
func TestColourPublishedTemperatures(t *testing.T) {
	var claims []claim
	for _, r := range publishedRows(t, "cct_duv.csv") {
		xy := fmt.Sprintf("{ x = %s, y = %s }", r["x"], r["y"])
		claims = append(claims,
			claim{"colour.cct(" + xy + ").cct", r["cct_K"], 1e-6}, claim{"colour.cct(" + xy + ").duv", r["duv"], 2e-10},
			claim{"colour.uv1960(" + xy + ").u1960", r["u_1960"], 1e-9}, claim{"colour.uv1960(" + xy + ").v1960", r["v_1960"], 1e-9},
			claim{"colour.uv(" + xy + ").u", r["u_1960"], 1e-9},
			claim{"colour.cct_to_xy(colour.cct(" + xy + ").cct, colour.cct(" + xy + ").duv).x", r["x"], 1e-6},
			claim{"colour.cct_to_xy(colour.cct(" + xy + ").cct, colour.cct(" + xy + ").duv).y", r["y"], 1e-6})
	}
	for _, r := range publishedRows(t, "daylight_locus.csv") {
		claims = append(claims, claim{"colour.daylight(" + r["T_K"] + ").x", r["xD"], 1e-9}, claim{"colour.daylight(" + r["T_K"] + ").y", r["yD"], 1e-9})
	}
	for _, r := range publishedRows(t, "planckian_locus.csv") {
		claims = append(claims, claim{"colour.planckian(" + r["T_K"] + ").x", r["x"], 6e-9}, claim{"colour.planckian(" + r["T_K"] + ").y", r["y"], 6e-9})
	}
	for _, r := range publishedRows(t, "illuminants.csv") {
		for degrees, observer := range map[string]string{"2": "1931", "10": "1964"} {
			// Summed over 380 to 780 nm at 5 nm, as the table was.
			c := fmt.Sprintf("colour.xy(colour.spectrum_to_xyz(colour.resample(colour.illuminant('%s'), { from = 380, to = 780, step = 5 }), { observer = '%s' }))", r["illuminant"], observer)
			claims = append(claims, claim{c + ".x", r["computed_x"+degrees], 1.5e-6}, claim{c + ".y", r["computed_y"+degrees], 1.5e-6})
		}
	}
	// CIE 15:2004: illuminants' chromaticities to five places.
	claims = append(claims, claim{"colour.xy(colour.spectrum_to_xyz(colour.illuminant('A'))).x", "0.44758", 1e-5},
		claim{"colour.xy(colour.spectrum_to_xyz(colour.illuminant('D65'))).x", "0.31272", 1e-5},
		claim{"colour.xy(colour.spectrum_to_xyz(colour.illuminant('E'))).x", "0.33333", 2e-5},
		claim{"colour.xy(colour.spectrum_to_xyz(colour.planck(5000))).x", "0.34510343", 6e-9}, // planckian_locus.csv
		claim{"colour.xy('d50').x", "0.34567", 2e-4}, claim{"colour.xy('d65').y", "0.329", 0})
	holds(t, "", claims)
}

// Sources: CIE 15, table T.4; ISO/CIE 11664-1; the 10° rows from memory.
func TestColourPublishedObservers(t *testing.T) {
	claims := []claim{
		{"colour.cmf(555, { observer = '1964' }).x_bar", "0.616053", 5e-7}, {"colour.cmf(555, { observer = '1964' }).y_bar", "0.99911", 5e-7},
		{"colour.cmf(445, { observer = '1964' }).z_bar", "2.0273", 5e-7}, {"colour.cmf(830).y_bar", "4.5181e-7", 1e-15},
	}
	for _, r := range publishedRows(t, "cmf_cie1931_2deg_5nm.csv") {
		for _, bar := range []string{"x_bar", "y_bar", "z_bar"} {
			claims = append(claims, claim{"colour.cmf(" + r["wavelength_nm"] + ")." + bar, r[bar], 5e-7})
		}
	}
	holds(t, "", claims)
}

// Source: CIE 15, ISO/CIE 11664-4 and -5.
func TestColourPublishedLab(t *testing.T) {
	var claims []claim
	for _, r := range publishedRows(t, "lab_luv.csv") {
		white := fmt.Sprintf("{ X = %s, Y = %s, Z = %s }", r["Xn"], r["Yn"], r["Zn"])
		c := fmt.Sprintf("{ X = %s, Y = %s, Z = %s }", r["X"], r["Y"], r["Z"])
		lab := fmt.Sprintf("colour.lab(%s, { white = %s })", c, white)
		luv := fmt.Sprintf("colour.luv(%s, { white = %s })", c, white)
		list := fmt.Sprintf("colour.lab({ %s, %s }, { white = %s })", c, c, white)
		flat := fmt.Sprintf("colour.lab({ %s, %s, %s }, { white = %s })", r["X"], r["Y"], r["Z"], white)
		claims = append(claims, claim{lab + ".L", r["L_star"], 1e-8}, claim{lab + ".a", r["a_star"], 1e-8}, claim{lab + ".b", r["b_star"], 1e-8},
			claim{luv + ".u_star", r["u_star"], 1e-8}, claim{luv + ".v_star", r["v_star"], 1e-8},
			claim{list + ":at(2).b", r["b_star"], 1e-8}, claim{flat + ":numbers()[2]", r["a_star"], 1e-8},
			claim{fmt.Sprintf("colour.lab_to_xyz({ L = %s, a = %s, b = %s, white = %s }).Z", r["L_star"], r["a_star"], r["b_star"], white), r["Z"], 1e-7})
	}
	holds(t, "", claims)
}

// Sources: SMPTE RP 177 with the primaries of ITU-R BT.709, BT.2020 and SMPTE
// RP 431-2; IDMS on areas, confirmed with a polygon library.
func TestColourPublishedSpaces(t *testing.T) {
	names := map[string]string{"BT.709": "bt709", "BT.2020": "bt2020", "P3-D65": "p3-d65", "P3-DCI": "p3-dci", "P3": "p3-d65", "BT.709/sRGB": "bt709"}
	var claims []claim
	for _, r := range publishedRows(t, "rgb_xyz_matrices.csv") {
		space, ok := names[r["space"]]
		if !ok {
			t.Fatalf("the space %q has no name", r["space"])
		}
		if r["direction"] == "RGB_to_XYZ" {
			for row := 1; row <= 3; row++ {
				for col := 1; col <= 3; col++ {
					claims = append(claims, claim{fmt.Sprintf("colour.rgb_matrix('%s')[%d][%d]", space, row, col), r[fmt.Sprintf("m%d%d", row, col)], 1e-11})
				}
			}
			claims = append(claims, claim{fmt.Sprintf("colour.rgb_to_xyz({ r = 0, g = 1, b = 0, space = '%s', white = 1 }).Z", space), r["m32"], 1e-11},
				claim{fmt.Sprintf("colour.luminance_shares('%s').g", space), r["m22"], 1e-11})
			continue
		}
		for row := 1; row <= 3; row++ {
			for col := 1; col <= 3; col++ {
				claims = append(claims, claim{fmt.Sprintf("colour.rgb_matrix('%s', { inverse = true })[%d][%d]", space, row, col), r[fmt.Sprintf("m%d%d", row, col)], 1e-11})
			}
		}
		claims = append(claims, claim{fmt.Sprintf("colour.xyz_to_rgb({ X = 0, Y = 100, Z = 0 }, { space = '%s', white = 100 }).g", space), r["m22"], 1e-10})
	}
	corners := map[string]string{
		"BT.709": "{ x = 0.64, y = 0.33 }, { x = 0.3, y = 0.6 }, { x = 0.15, y = 0.06 }",
		"P3":     "{ x = 0.68, y = 0.32 }, { x = 0.265, y = 0.69 }, { x = 0.15, y = 0.06 }", "BT.2020": "{ x = 0.708, y = 0.292 }, { x = 0.17, y = 0.797 }, { x = 0.131, y = 0.046 }",
	}
	for _, r := range publishedRows(t, "gamut_areas.csv") {
		diagram := map[string]string{"CIE1931_xy": "xy", "CIE1976_upvp": "uv"}[r["diagram"]]
		primaries := map[string]string{
			"BT.709":  "red = { x = 0.64, y = 0.33 }, green = { x = 0.3, y = 0.6 }, blue = { x = 0.15, y = 0.06 }",
			"P3":      "red = { x = 0.68, y = 0.32 }, green = { x = 0.265, y = 0.69 }, blue = { x = 0.15, y = 0.06 }",
			"BT.2020": "red = { x = 0.708, y = 0.292 }, green = { x = 0.17, y = 0.797 }, blue = { x = 0.131, y = 0.046 }",
		}[r["display"]]
		g := fmt.Sprintf("colour.gamut { %s, space = '%s', diagram = '%s' }", primaries, names[r["target"]], diagram)
		claims = append(claims, claim{g + ".area", r["area_display"], 1e-10}, claim{g + ".target_area", r["area_target"], 1e-10}, claim{g + ".shared_area", r["area_intersection"], 1e-10},
			claim{"100 * " + g + ".coverage", r["coverage_percent"], 1e-9}, claim{"100 * " + g + ".ratio", r["area_ratio_percent"], 1e-9},
			claim{fmt.Sprintf("colour.gamut_polygons({ display = { %s }, target = { %s }, diagram = '%s' }).shared_area", corners[r["display"]], corners[r["target"]], diagram), r["area_intersection"], 1e-10},
			claim{fmt.Sprintf("colour.gamut_area { %s, diagram = '%s' }", primaries, diagram), r["area_display"], 1e-10})
	}
	holds(t, "", claims)
}

// Source: ITU-R BT.2124 and BT.2100.
func TestColourPublishedITP(t *testing.T) {
	var claims []claim
	for _, r := range publishedRows(t, "delta_e_itp.csv") {
		c := func(n string) string {
			return fmt.Sprintf("colour.rgb_to_xyz { r = %s, g = %s, b = %s, space = 'bt2020' }", r["R"+n+"_cdm2"], r["G"+n+"_cdm2"], r["B"+n+"_cdm2"])
		}
		pair := fmt.Sprintf("{ a = %s, b = %s }", c("1"), c("2"))
		lists := fmt.Sprintf("{ a = colour.list { %s }, b = colour.list { %s } }", c("1"), c("2"))
		claims = append(claims, claim{"colour.delta_e_itp" + pair, r["delta_e_itp"], 1e-9}, claim{"colour.delta_e_itp(" + lists + ")[1]", r["delta_e_itp"], 1e-9},
			claim{"colour.ictcp(" + c("1") + ").I", r["I1"], 1e-8}, claim{"colour.ictcp(" + c("2") + ").Cp", r["Cp2"], 1e-8},
			claim{"math.sqrt(colour.delta_itp" + pair + ".I ^ 2 + colour.delta_itp" + pair + ".T ^ 2 + colour.delta_itp" + pair + ".P ^ 2)", r["delta_e_itp"], 1e-9})
	}
	holds(t, "", claims)
}

// Sources: SMPTE ST 2084, ITU-R BT.2100, BT.1886, IEC 61966-2-1.
func TestColourPublishedCurves(t *testing.T) {
	var claims []claim
	for _, r := range publishedRows(t, "pq_st2084.csv") {
		if r["kind"] == "luminance" {
			claims = append(claims, claim{"colour.luminance_to_pq(" + r["cd_m2"] + ")", r["signal"], 1e-9},
				claim{"colour.code(" + r["signal"] + ")", r["code10_narrow"], 0}, claim{"colour.code(" + r["signal"] + ", { range = 'full' })", r["code10_full"], 0},
				claim{"colour.code(" + r["signal"] + ", { bits = 12 })", r["code12_narrow"], 0}, claim{"colour.code(" + r["signal"] + ", { bits = 12, range = 'full' })", r["code12_full"], 0})
			continue
		}
		code, coding := r["code10_narrow"], "narrow"
		if r["kind"] == "code10_full" {
			code, coding = r["code10_full"], "full"
		}
		if s, _ := strconv.ParseFloat(r["signal"], 64); s >= 0 && s <= 1 {
			claims = append(claims, claim{fmt.Sprintf("colour.code_to_signal(%s, { range = '%s' })", code, coding), r["signal"], 1e-9}, claim{"colour.pq_to_luminance(" + r["signal"] + ")", r["cd_m2"], 1e-7})
		}
	}
	for _, r := range publishedRows(t, "hlg_bt2100.csv") {
		claims = append(claims, claim{fmt.Sprintf("colour.hlg_rgb({ r = %s, g = %s, b = %s, white = %s, black = %s }).b", r["R_signal"], r["G_signal"], r["B_signal"], r["Lw_cdm2"], r["Lb_cdm2"]), r["B_cdm2"], 1e-6})
		if r["R_signal"] == r["G_signal"] && r["G_signal"] == r["B_signal"] {
			claims = append(claims, claim{fmt.Sprintf("colour.hlg_to_luminance { signal = %s, white = %s, black = %s }", r["R_signal"], r["Lw_cdm2"], r["Lb_cdm2"]), r["Y_cdm2"], 1e-9})
		}
	}
	for _, r := range publishedRows(t, "hlg_gamma.csv") {
		extended := strconv.FormatBool(strings.HasPrefix(r["formula"], "extended"))
		claims = append(claims, claim{"colour.hlg_gamma(" + r["Lw_cdm2"] + ", { extended = " + extended + " })", r["gamma"], 1e-9})
	}
	for _, r := range publishedRows(t, "hlg_oetf_bt2100.csv") {
		claims = append(claims, claim{"colour.scene_to_hlg(" + r["E"] + ")", r["signal"], 1e-8}, claim{"colour.hlg_scene(" + r["signal"] + ")", r["inverse_of_signal"], 1e-8})
	}
	for _, r := range publishedRows(t, "bt1886.csv") {
		claims = append(claims, claim{fmt.Sprintf("colour.bt1886 { signal = %s, white = %s, black = %s }", r["V"], r["Lw_cdm2"], r["Lb_cdm2"]), r["L_cdm2"], 1e-8},
			claim{fmt.Sprintf("colour.code(%s)", r["V"]), r["code10_narrow_nearest"], 0})
		if v, _ := strconv.ParseFloat(r["V"], 64); v > 0 && v < 1 {
			claims = append(claims, claim{fmt.Sprintf("colour.point_gamma { signal = %s, luminance = %s, white = %s }", r["V"], r["L_cdm2"], r["Lw_cdm2"]), r["point_gamma"], 1e-7},
				claim{fmt.Sprintf("colour.luminance_to_bt1886 { luminance = %s, white = %s, black = %s }", r["L_cdm2"], r["Lw_cdm2"], r["Lb_cdm2"]), r["V"], 1e-8},
				claim{fmt.Sprintf("colour.tone_deviation({ signal = %s, luminance = %s, white = %s, black = %s, curve = 'bt1886' }).target", r["V"], r["L_cdm2"], r["Lw_cdm2"], r["Lb_cdm2"]), r["L_cdm2"], 1e-8})
		}
	}
	for _, r := range publishedRows(t, "srgb.csv") {
		if r["direction"] == "decode" {
			claims = append(claims, claim{"colour.srgb_to_light(" + r["signal"] + ")", r["linear"], 1e-9}, claim{"colour.code_to_signal(" + r["code8"] + ", { bits = 8, range = 'full' })", r["signal"], 1e-10})
		} else {
			claims = append(claims, claim{"colour.light_to_srgb(" + r["linear"] + ")", r["signal"], 1e-9}, claim{"colour.code(" + r["signal"] + ", { bits = 8, range = 'full' })", r["code8"], 0})
		}
	}
	holds(t, "", claims)
}

// Source: the method of Ohno and Hardis 1997 and least squares, computed by
// independent routes.
func TestColourPublishedCorrections(t *testing.T) {
	inputs := map[string]string{} // set and meter -> a table of stimuli
	list := map[string]string{}
	var claims []claim
	for _, r := range publishedRows(t, "colour_matrix_four_color.csv") {
		key := r["set"] + r["which"]
		xyY := fmt.Sprintf("{ x = %s, y = %s, Y = %s }", r["v1"], r["v2"], r["v3"])
		switch r["kind"] {
		case "input":
			name := map[string]string{"R": "red", "G": "green", "B": "blue", "W": "white"}[r["colour"]]
			inputs[key] += name + " = " + xyY + ", "
			if name != "white" {
				list[key] += xyY + ", "
			}
		case "matrix":
			var expr string
			reference, target := r["set"]+"reference", r["set"]+"target"
			switch r["which"] {
			case "four_color_scaled_to_white_luminance":
				expr = fmt.Sprintf("colour.four_colour({ reference = { %s }, target = { %s } })", inputs[reference], inputs[target])
			case "rgb_3x3":
				expr = fmt.Sprintf("colour.matrix_correction({ reference = { %s }, target = { %s } })", list[reference], list[target])
			case "rgbw_least_squares":
				expr = fmt.Sprintf("colour.matrix_correction({ reference = { %s }, target = { %s } })", list[reference]+white(inputs[reference]), list[target]+white(inputs[target]))
			default:
				expr = fmt.Sprintf("colour.four_colour({ reference = { %s }, target = { %s } })", inputs[reference], inputs[target])
				for i := range 9 { // the method gives the matrix up to a scale
					claims = append(claims, claim{fmt.Sprintf("%s.matrix[%d][%d] / %s.matrix[1][1] * %s", expr, i/3+1, i%3+1, expr, r["v1"]), r[fmt.Sprintf("v%d", i+1)], 1e-9})
				}
				continue
			}
			for i := range 9 {
				claims = append(claims, claim{fmt.Sprintf("%s.matrix[%d][%d]", expr, i/3+1, i%3+1), r[fmt.Sprintf("v%d", i+1)], 1e-9})
			}
			if strings.HasPrefix(r["which"], "four") {
				claims = append(claims, claim{expr + ".worst.delta_uv", "0", 1e-12}, claim{expr + ".residuals[4].luminance", "0", 1e-12},
					claim{fmt.Sprintf("colour.xy(%s:apply { x = 0.3127, y = 0.329, Y = 0 + 100 }).x - colour.xy(%s:apply { x = 0.3127, y = 0.329, Y = 1 }).x", expr, expr), "0", 1e-12})
			}
		}
	}
	holds(t, "", claims)
}

// white is the stimulus of white in a table of stimuli.
func white(inputs string) string {
	_, after, _ := strings.Cut(inputs, "white = ")
	return strings.TrimSuffix(after, ", ")
}

// Sources: Lambert's, the inverse-square and the cosine law, the definitions of
// the units; see the file.
func TestColourPublishedPhotometry(t *testing.T) {
	calls := map[string]string{
		"lambertian_exitance":   "colour.lambertian_exitance(#1)",
		"lambertian_reflection": "colour.lambertian_luminance { lux = #1, reflectance = #2 }",
		"inverse_square":        "colour.inverse_square { intensity = #1, distance = #2 }",
		"cosine_law":            "colour.inverse_square { intensity = #1, distance = #2, tilt = #3 }",
		"disc_source_on_axis":   "colour.disc_illuminance { luminance = #1, radius = #3, distance = #4 }",
		"footlambert":           "colour.from_footlambert(#1)",
		"to_footlambert":        "colour.footlambert(#1)",
		"footcandle":            "colour.from_footcandle(#1)",
		"ambient_contrast":      "colour.ambient_contrast { white = #1, black = #2, lux = #4, reflectance = #5 }",
		"michelson":             "colour.michelson(#1, #2)",
		"ppi":                   "colour.screen({ width = #1, height = #2, diagonal = #3 }).pixels_per_inch",
		"pixels_per_degree":     "colour.screen({ width = #1, height = #2, diagonal = #3, distance = #4 }).pixels_per_degree",
		"window_area":           "colour.window({ width = 1600, height = 900, diagonal = #3, window = #4 }).area",
		"window_side_fraction":  "colour.window({ width = 1600, height = 900, diagonal = 65, window = #1 }).side",
		"inverse_square_ratio":  "colour.inverse_square { intensity = #2 * #4 ^ 2, distance = #6 }",
		"luminous_efficacy":     "683 * colour.cmf(#1).y_bar",
		"stops":                 "colour.stops(#1, #3)",
		"solid_angle":           "colour.cone_solid_angle(#1)",
		"spot_diameter":         "colour.spot_diameter { distance = #1, angle = #2 }",
	}
	number := regexp.MustCompile(`[0-9]+(\.[0-9]+)?`)
	used := map[string]bool{}
	var claims []claim
	for _, r := range publishedRows(t, "photometry.csv") {
		call, known := calls[r["kind"]]
		if !known {
			continue // a law of warming up, which is no affair of colour
		}
		used[r["kind"]] = true
		for i, n := range number.FindAllString(r["input"], -1) {
			call = strings.ReplaceAll(call, "#"+strconv.Itoa(i+1), n)
		}
		claims = append(claims, claim{call, r["value"], 1e-10})
	}
	if len(used) != len(calls) {
		t.Errorf("only %d of %d kinds are in the file", len(used), len(calls))
	}
	holds(t, "", claims)
}
