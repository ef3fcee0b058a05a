package bench

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

const ternStreet = `# the bench at Tern Street
format = 1
name = "Tern Street"

[meter]
driver   = "line-meter"
link     = "serial:/dev/ttyUSB0?baud=115200"
timeout  = "10s"
retries  = 2
correction = "corrections/crake-dusk.toml"
floor = 0.005

[meter.accuracy]
scale = 1.0
xy    = 0.0010
dark  = 0.002
drift = 0.0005
repeatability = 0.2
noise = [[0, 0.001], [1, 0.003, 0], [100, 0.1, 0.9]]
zero = 0.0008

[meter.options]
speed = 3
filter = "fine"
steps = [1, 2.5]
nested = { on = true }

[patches]
driver = "operator"
delay = "300ms"
`

func TestParseFile(t *testing.T) {
	got, err := ParseFile("benches/tern.toml", []byte(ternStreet))
	if err != nil {
		t.Fatal(err)
	}
	want := &File{
		name: "Tern Street",
		Path: "benches/tern.toml",
		meter: &Section{
			Driver: "line-meter", Link: "serial:/dev/ttyUSB0?baud=115200", Timeout: 10 * time.Second, Retries: new(2),
			Correction: "corrections/crake-dusk.toml", Floor: 0.005,
			Accuracy: Accuracy{Scale: 1, XY: 0.001, Dark: 0.002, Drift: 0.0005, Repeatability: 0.2,
				Noise: [][]float64{{0, 0.001}, {1, 0.003, 0}, {100, 0.1, 0.9}}, Zero: 0.0008},
			Options: map[string]any{
				"speed": 3.0, "filter": "fine", "steps": []any{1.0, 2.5}, "nested": map[string]any{"on": true},
			},
			Line: 5,
		},
		patches: &Section{Driver: "operator", Delay: 300 * time.Millisecond, Line: 28},
	}
	if d := cmp.Diff(want, got, cmp.AllowUnexported(File{}), cmpopts.IgnoreUnexported(Section{})); d != "" {
		t.Errorf("file differs (-want +got):\n%s", d)
	}
	if d := cmp.Diff([]Kind{KindMeter, KindPatches}, got.Kinds()); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff([]string{"line-meter", "operator"}, got.Drivers()); d != "" {
		t.Error(d)
	}
	if w := got.meter.Where(); w != "benches/tern.toml:5" {
		t.Errorf("Where() = %q", w)
	}
}

func TestParseFileShapes(t *testing.T) {
	for name, src := range map[string]string{
		"inline table":     "meter = { driver = \"sim\", timeout = \"2s\", accuracy = { scale = 2 } }",
		"dotted keys":      "meter.driver = \"sim\"\nmeter.timeout = \"2s\"\nmeter.accuracy.scale = 2",
		"accuracy first":   "[meter.accuracy]\nscale = 2\n[meter]\ndriver = \"sim\"\ntimeout = \"2s\"",
		"CRLF and a BOM":   "\ufeff[meter]\r\ndriver = \"sim\"\r\ntimeout = \"2s\"\r\naccuracy.scale = 2\r\n",
		"no last new line": "[meter]\ndriver = 'sim'\ntimeout = '2000ms'\naccuracy = {scale = 2.0}",
	} {
		t.Run(name, func(t *testing.T) {
			f, err := ParseFile("low.toml", []byte(src))
			if err != nil {
				t.Fatal(err)
			}
			if f.name != "low" || f.meter.Driver != "sim" || f.meter.Timeout != 2*time.Second || f.meter.Accuracy.Scale != 2 {
				t.Errorf("got name %q, meter %+v", f.name, f.meter)
			}
		})
	}
}

// fails checks that err is an [Error] with the code, message and hint.
func fails(t *testing.T, err error, code, message, hint string) {
	t.Helper()
	var e *Error
	if !errors.As(err, &e) {
		t.Fatalf("error is %v (%T), want an *Error", err, err)
	}
	if e.Code() != code {
		t.Errorf("code is %q, want %q", e.Code(), code)
	}
	if e.Error() != message {
		t.Errorf("message is\n    %s\nwant\n    %s", e.Error(), message)
	}
	if e.Hint() != hint {
		t.Errorf("hint is %q, want %q", e.Hint(), hint)
	}
}

func TestParseFileRefuses(t *testing.T) {
	const textHint = "the file must be TOML: put texts in quotes and names of tables in brackets"
	const timeHint = `write the unit, as in timeout = "10s"`
	const text = "a text in quotes on one line, not blank"
	tests := []struct{ name, src, message, hint string }{
		{"empty", "", "b.toml:1: the bench has no device; it must have at least one of meter, reference, patches, unit, rig, operator",
			`write for example [meter] and below it driver = "operator"`},
		{"no TOML", "[meter]\ndriver = sim", "b.toml:2: unexpected character U+0073 's' at start of value", textHint},
		{"key twice", "[meter]\ndriver = 'a'\ndriver = 'b'", "b.toml:3: key driver is already defined", textHint},
		{"newer format", "format = 2\n[meter]\ndriver='a'", "b.toml:1: format is 2; it must be 1", "the file was written for another version of candelua"},
		{"format of another type", "format = 'x'", `b.toml:1: format is "x"; it must be a whole number from 1 to 2147483647`, ""},
		{"unknown place", "\n[metre]\ndriver='a'", "b.toml:2: metre is unknown; the keys of a bench file are format, name, meter, reference, patches, unit, rig, operator", `did you mean "meter"?`},
		{"unknown key", "[meter]\ndriver='a'\ntimout='1s'", "b.toml:3: meter.timout is unknown; the keys of [meter] are driver, link, timeout, retries, options, correction, floor, warm_up, accuracy", `did you mean "timeout"?`},
		{"key of a meter", "[patches]\ndriver='a'\nfloor=1", "b.toml:3: patches.floor is unknown; the keys of [patches] are driver, link, timeout, retries, options, chain, delay", ""},
		{"unknown accuracy", "[meter]\ndriver='a'\n[meter.accuracy]\nscal=1", "b.toml:4: meter.accuracy.scal is unknown; the keys of [meter.accuracy] are scale, xy, dark, drift, repeatability, noise, zero, wavelength, response, sample, sample_dark, certificate, date, coverage_factor", `did you mean "scale"?`},
		{"noise of another type", noisy("0.1"), "b.toml:4: meter.accuracy.noise is 0.1; it must be a list of 1 to 50 rows of a luminance and the standard deviation of a single reading, both in cd/m²", noiseHint},
		{"noise without rows", noisy("[]"), "b.toml:4: meter.accuracy.noise is a list; it must be a list of 1 to 50 rows of a luminance and the standard deviation of a single reading, both in cd/m²", noiseHint},
		{"noise row short", noisy("[[1, 0.1], [2]]"), "b.toml:4: meter.accuracy.noise does not have two or three numbers in row 2; it must have a luminance, a standard deviation and perhaps the share that X, Y and Z have in common", ""},
		{"noise row of text", noisy("['a']"), `b.toml:4: meter.accuracy.noise does not have two or three numbers in row 1; it must have a luminance, a standard deviation and perhaps the share that X, Y and Z have in common`, ""},
		{"noise level negative", noisy("[[-1, 0.1]]"), "b.toml:4: meter.accuracy.noise is -1 in row 1, column 1; it must be a luminance from 0 to 1000000 cd/m²", ""},
		{"noise not finite", noisy("[[1, nan]]"), "b.toml:4: meter.accuracy.noise is NaN in row 1, column 2; it must be a standard deviation from 0 to 1000000 cd/m²", ""},
		{"noise share", noisy("[[1, 0.1, 50]]"), "b.toml:4: meter.accuracy.noise is 50 in row 1, column 3; it must be a share from 0 to 1", ""},
		{"noise out of order", noisy("[[1, 0.1], [1, 0.2]]"), "b.toml:4: meter.accuracy.noise is 1 in row 2, column 1; it must be more than in the row before, 1 cd/m²", ""},
		{"zero negative", "[meter]\ndriver='a'\n[meter.accuracy]\nzero=-1", "b.toml:4: meter.accuracy.zero is -1; it must be a number from 0 to 1000 cd/m²", ""},
		{"no driver", "[meter]\nlink='a'", "b.toml:1: meter.driver is missing", `name the driver, for example driver = "operator"`},
		{"driver of another type", "[meter]\ndriver=1", "b.toml:2: meter.driver is 1; it must be " + text, ""},
		{"blank driver", "[meter]\ndriver=' '", `b.toml:2: meter.driver is " "; it must be ` + text, ""},
		{"link of two lines", "[meter]\ndriver='a'\nlink=\"a\\nb\"", `b.toml:3: meter.link is "a\nb"; it must be ` + text, ""},
		{"timeout without unit", "[meter]\ndriver='a'\ntimeout='10'", `b.toml:3: meter.timeout is "10"; it must be a time from 1 ms to 1 h`, timeHint},
		{"timeout as a number", "[meter]\ndriver='a'\ntimeout=10", `b.toml:3: meter.timeout is 10; it must be a time from 1 ms to 1 h`, timeHint},
		{"timeout of nothing", "[meter]\ndriver='a'\ntimeout='0s'", `b.toml:3: meter.timeout is "0s"; it must be a time from 1 ms to 1 h`, timeHint},
		{"delay without unit", "[patches]\ndriver='a'\ndelay='300'", `b.toml:3: patches.delay is "300"; it must be a time from 1 ms to 10 s`, `write the unit, as in delay = "300ms"`},
		{"warm-up without unit", "[meter]\ndriver='a'\nwarm_up=20", `b.toml:3: meter.warm_up is 20; it must be a time from 1 s to 24 h`, `write the unit, as in warm_up = "20m"`},
		{"retries broken", "[meter]\ndriver='a'\nretries=1.5", "b.toml:3: meter.retries is 1.5; it must be a whole number from 0 to 100", ""},
		{"retries negative", "[meter]\ndriver='a'\nretries=-1", "b.toml:3: meter.retries is -1; it must be a whole number from 0 to 100", ""},
		{"floor negative", "[meter]\ndriver='a'\nfloor=-0.1", "b.toml:3: meter.floor is -0.1; it must be a number from 0 to 1000 cd/m²", ""},
		{"floor not finite", "[meter]\ndriver='a'\nfloor=nan", "b.toml:3: meter.floor is NaN; it must be a number from 0 to 1000 cd/m²", ""},
		{"no day", "[meter]\ndriver='a'\n[meter.accuracy]\ndate='2026-13-01'", `b.toml:4: meter.accuracy.date is "2026-13-01"; it must be a date such as 2026-11-20`, ""},
		{"coverage factor below 1", "[meter]\ndriver='a'\n[meter.accuracy]\ncoverage_factor=0.5", "b.toml:4: meter.accuracy.coverage_factor is 0.5; it must be a number from 1 to 10", ""},
		{"scale over 100 %", "[meter]\ndriver='a'\naccuracy={scale=101}", "b.toml:3: meter.accuracy.scale is 101; it must be a number from 0 to 100 %", ""},
		{"xy as text", "[meter]\ndriver='a'\n[meter.accuracy]\nxy='1'", `b.toml:4: meter.accuracy.xy is "1"; it must be a number from 0 to 0.5`, ""},
		{"place as text", "meter = 'sim'", `b.toml:1: meter is "sim"; it must be a single table with the head [meter]`, ""},
		{"place as an empty list", "meter = []", "b.toml:1: meter is a list; it must be a single table with the head [meter]", ""},
		{"place as list", "[[meter]]\ndriver='a'", "b.toml:1: meter is a list of tables; it must be a single table with the head [meter]", ""},
		{"option with a date", "[rig]\ndriver='a'\n[rig.options]\nsince = 2026-01-01", "b.toml:4: rig.options.since is 2026-01-01; it must be texts, finite numbers, true or false, or lists and tables of these", "put dates, and numbers of more than 15 digits, in quotes"},
		{"option that loses digits", "[rig]\ndriver='a'\noptions={n=[{id=9007199254740993}]}", "b.toml:3: rig.options.n is a list of tables; it must be texts, finite numbers, true or false, or lists and tables of these", "put dates, and numbers of more than 15 digits, in quotes"},
		{"option not finite", "[rig]\ndriver='a'\noptions={a={b=inf}}", "b.toml:3: rig.options.a is a table; it must be texts, finite numbers, true or false, or lists and tables of these", "put dates, and numbers of more than 15 digits, in quotes"},
		{"options as a list", "[rig]\ndriver='a'\noptions=[1]", "b.toml:3: rig.options is a list; it must be a single table with the head [rig.options]", ""},
		{"first of several", "[meter]\ndriver=1\nretries=-1\n[metre]", "b.toml:2: meter.driver is 1; it must be " + text, ""},
		{"long value", "[meter]\ndriver='a'\ntimeout='" + strings.Repeat("é", 80) + "'", `b.toml:3: meter.timeout is "` + strings.Repeat("é", 59) + `…; it must be a time from 1 ms to 1 h`, timeHint},
		{"file too long", strings.Repeat("#\n", 40_000), "b.toml: file has 80000 bytes; it must have at most 65536", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f, err := ParseFile("b.toml", []byte(tt.src))
			if f != nil {
				t.Errorf("file is %+v beside the error", f)
			}
			fails(t, err, CodeBadFile, tt.message, tt.hint)
		})
	}
}

// Deep and long files cost no more than their length deserves: what follows
// ran out of memory while each prefix of a key was noted.
func TestParseFileDeep(t *testing.T) {
	const head = "[meter]\ndriver = 'a'\n[meter.options]\n"
	for name, src := range map[string]string{
		"key of many parts": strings.Repeat("a.", 30_000) + "a = 1",
		"inline tables":     strings.Repeat("a={", 9_000) + strings.Repeat("}", 9_000),
		"lists":             "a = " + strings.Repeat("[", 9_000) + strings.Repeat("]", 9_000),
	} {
		t.Run(name, func(t *testing.T) {
			f, err := ParseFile("b.toml", []byte(head+src))
			if err != nil {
				t.Fatal(err)
			}
			if f.meter.Options["a"] == nil {
				t.Error("the option is lost")
			}
		})
	}
}

func TestBuiltInBenches(t *testing.T) {
	for _, tt := range []struct {
		file *File
		want []Kind
	}{
		{SimFile, []Kind{KindMeter, KindReference, KindPatches, KindUnit, KindRig, KindOperator}},
		{OperatorFile, []Kind{KindMeter, KindPatches, KindUnit, KindRig, KindOperator}},
	} {
		if d := cmp.Diff(tt.want, tt.file.Kinds()); d != "" {
			t.Errorf("%s: %s", tt.file.name, d)
		}
		if d := cmp.Diff([]string{tt.file.name}, tt.file.Drivers()); d != "" {
			t.Errorf("%s: %s", tt.file.name, d)
		}
	}
	if SimFile.Section("lamp") != nil {
		t.Error("a kind that there is not has a section")
	}
}

func TestWithHands(t *testing.T) {
	f, err := ParseFile("b.toml", []byte("[meter]\ndriver='sim'"))
	if err != nil {
		t.Fatal(err)
	}
	filled := f.WithHands(KindMeter, KindUnit, KindOperator, "lamp")
	if filled.meter.Driver != "sim" || filled.unit.Driver != "operator" || filled.operator.Driver != "operator" || filled.rig != nil {
		t.Errorf("filled with drivers %q for %q", filled.Drivers(), filled.Kinds())
	}
	if f.unit != nil {
		t.Error("the file itself was changed")
	}
}

func FuzzParseFile(f *testing.F) {
	f.Add([]byte(ternStreet))
	f.Add([]byte("meter = { driver = \"sim\", options = { a = [1, {b = 2}] } }"))
	f.Add([]byte("[[meter]]\n[meter.accuracy]\nscale=inf"))
	f.Fuzz(func(t *testing.T, src []byte) {
		file, err := ParseFile("b.toml", src)
		checkParsed(t, file != nil, err)
		if err != nil {
			return
		}
		for _, k := range file.Kinds() {
			s := file.Section(k)
			a := s.Accuracy
			if s.Driver == "" || s.Line < 1 || s.Retries != nil && *s.Retries < 0 || s.Timeout < 0 || !(s.Floor >= 0) ||
				!(a.Scale >= 0 && a.XY >= 0 && a.Dark >= 0 && a.Drift >= 0 && a.Repeatability >= 0) {
				t.Errorf("%s passed as %+v", k, s)
			}
		}
	})
}

// checkParsed checks that a parser gave either a result or an error with a line
// of the file.
func checkParsed(t *testing.T, result bool, err error) {
	t.Helper()
	if result == (err != nil) {
		t.Fatalf("result %v beside error %v", result, err)
	}
	if err == nil {
		return
	}
	var e *Error
	if !errors.As(err, &e) || e.Code() != CodeBadFile || !strings.HasPrefix(e.Error(), "b.toml:") {
		t.Errorf("error is %v", err)
	}
}

// A certificate's expanded uncertainties become standard ones, u = U/k (JCGM 100:2008,
// 6.2.1); what no certificate states stays. Its name and day are kept.
func TestCoverageFactor(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		k := rapid.Float64Range(1, 10).Draw(r, "k")
		scale, xy, dark := rapid.Float64Range(0, 100).Draw(r, "scale"), rapid.Float64Range(0, 0.5).Draw(r, "xy"), rapid.Float64Range(0, 10).Draw(r, "dark")
		date := rapid.SampledFrom([]string{`"2026-05-14"`, "2026-05-14"}).Draw(r, "date")
		f, err := ParseFile("b.toml", fmt.Appendf(nil, "[meter]\ndriver = \"a\"\n[meter.accuracy]\ncoverage_factor = %v\nscale = %v\nxy = %v\ndark = %v\nrepeatability = 0.3\ndrift = 0.01\ncertificate = \"TK-7\"\ndate = %s\n", k, scale, xy, dark, date))
		if err != nil {
			r.Fatal(err)
		}
		want := Accuracy{Scale: scale / k, XY: xy / k, Dark: dark / k, Repeatability: 0.3, Drift: 0.01, Certificate: "TK-7", Date: "2026-05-14"}
		if got := f.Section(KindMeter).Accuracy; !cmp.Equal(got, want) {
			r.Errorf("the accuracy is %+v, want %+v", got, want)
		}
	})
}

const noiseHint = "for example noise = [[0, 0.001], [1, 0.003], [100, 0.1]]"

// noisy is a bench file whose meter states noise.
func noisy(rows string) string { return "[meter]\ndriver='a'\n[meter.accuracy]\nnoise=" + rows }

// TestLuxAndSpectra: a rig's light meter and a meter's spectra have their figures in the bench file; those of a certificate are divided by
// its coverage factor (JCGM 100:2008, 6.2.1), the others are not.
func TestLuxAndSpectra(t *testing.T) {
	f, err := ParseFile("b.toml", []byte(`[rig]
driver = "x"
[rig.lux]
scale = 4
zero = 0.2
repeatability = 0.5
certificate = "Tern Street 7"
date = "2026-03-01"
coverage_factor = 2
[meter]
driver = "x"
[meter.accuracy]
wavelength = 0.6
response = 3
sample = 0.1
sample_dark = 1e-6
coverage_factor = 2
`))
	if err != nil {
		t.Fatal(err)
	}
	if got, want := f.Section(KindRig).Lux, (LuxAccuracy{2, 0.1, 0.5, "Tern Street 7", "2026-03-01"}); got != want {
		t.Errorf("the light meter has %+v, want %+v", got, want)
	}
	if got, want := f.Section(KindMeter).Accuracy, (Accuracy{Wavelength: 0.3, Response: 1.5, Sample: 0.1, SampleDark: 1e-6}); !reflect.DeepEqual(got, want) {
		t.Errorf("the meter has %+v, want %+v", got, want)
	}
	for text, want := range map[string]string{
		"[rig]\ndriver = \"x\"\n[rig.lux]\nscal = 1\n":        "b.toml:4: rig.lux.scal is unknown; the keys of [rig.lux] are scale, zero, repeatability, certificate, date, coverage_factor",
		"[rig]\ndriver = \"x\"\n[rig.lux]\nscale = 101\n":     "b.toml:4: rig.lux.scale is 101; it must be",
		"[patches]\ndriver = \"x\"\n[patches.lux]\nscale = 1": "patches.lux is unknown",
	} {
		if _, err := ParseFile("b.toml", []byte(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

func TestSplitTyped(t *testing.T) {
	for line, want := range map[string][2]string{"12.5 ± 0.2": {"12.5", "0.2"}, "12.5 +- 0.2 mm": {"12.5", "0.2 mm"}, "3+/-1": {"3", "1"}} {
		if number, u, stated := SplitTyped(line); !stated || number != want[0] || u != want[1] {
			t.Errorf("%q: %q, %q, %v", line, number, u, stated)
		}
	}
	if number, _, stated := SplitTyped("-12.5"); stated || number != "-12.5" {
		t.Errorf("-12.5 is taken for %q with an uncertainty", number)
	}
}
