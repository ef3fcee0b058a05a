//go:build unix

package command

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"candelua/engine/bench"
	"candelua/engine/driver/child"
	"candelua/engine/fault"
	"candelua/testdata/campaign"
)

// bed is a folder with programs and a bench file, and what runs of it.
type bed struct {
	t      *testing.T
	folder string
	keeper child.Keeper
}

func newBed(t *testing.T) *bed {
	before := runtime.NumGoroutine()
	b := &bed{t: t, folder: t.TempDir()}
	t.Cleanup(func() {
		for until := time.Now().Add(5 * time.Second); runtime.NumGoroutine() > before; time.Sleep(5 * time.Millisecond) {
			if time.Now().After(until) {
				t.Errorf("%d goroutines were there before, and %d are left", before, runtime.NumGoroutine())
				return
			}
		}
	})
	return b
}

// program writes a shell program.
func (b *bed) program(name, body string) {
	b.t.Helper()
	if err := os.WriteFile(filepath.Join(b.folder, name), []byte("#!/bin/sh\n"+body+"\n"), 0o755); err != nil {
		b.t.Fatal(err)
	}
}

// open opens the bench of a file; it is closed with the test.
func (b *bed) open(file string) (*bench.Bench, error) {
	b.t.Helper()
	f, err := bench.ParseFile(filepath.Join(b.folder, "b.toml"), []byte(file))
	if err != nil {
		b.t.Fatal(err)
	}
	opened, err := bench.Open(b.t.Context(), f, bench.Openers{"command": Opener(&b.keeper, nil)})
	if err == nil {
		b.t.Cleanup(func() {
			if err := opened.Close(); err != nil {
				b.t.Error(err)
			}
		})
	}
	return opened, err
}

func (b *bed) mustOpen(file string) *bench.Bench {
	b.t.Helper()
	opened, err := b.open(file)
	if err != nil {
		b.t.Fatal(err)
	}
	return opened
}

func one(ctx context.Context, b *bench.Bench, q bench.ReadRequest) (s bench.Sample, err error) {
	q.Most = 1
	err = b.Meters["meter"].Read(ctx, q, func(got bench.Sample) error { s = got; return nil })
	return s, err
}

// TestSixLines is a program that someone else wrote, as a meter.
func TestSixLines(t *testing.T) {
	b := newBed(t)
	b.program("fieldmeter", `echo "warming up"; echo "Lv 123.4 cd/m2, x 0.3127, y 0.329"`)
	s, err := one(t.Context(), b.mustOpen(`[meter]
driver = "command"
[meter.options]
run = "./fieldmeter --once"
reply = "Lv {Y} cd/m2, x {x}, y {y}"
`), bench.ReadRequest{})
	if err != nil || s.Y != 123.4 || !s.Colour || fmt.Sprintf("%.3f", s.X) != "117.286" {
		t.Errorf("it reads %+v, %v", s, err)
	}
}

// TestFlags: what a program says against its reading, in the line of the reply, in one of its own, or on its error stream, is a flag of that
// reading and of no other.
func TestFlags(t *testing.T) {
	const patterns = `flags = { saturated = ["{} OVR", "warning: too bright"], below_floor = "under range{}" }
reply = "Y={Y} {}"
`
	for _, how := range []string{
		"run = \"./meter once\"\n", "run = \"./meter\"\nkeep = true\nsend = \"r\"\n", "run = \"./meter\"\nkeep = true\nsend = \"r\"\nready = \"ok\"\n",
	} {
		b := newBed(t)
		b.program("meter", `say() {
n=$(cat n 2>/dev/null || echo 0); n=$((n+1)); echo $n >n
case $n in
1) echo "Y=10 OK";;
2) echo "Y=11 OVR";;
3) echo "warning: too bright"; echo "under range, by 3"; echo "Y=12 OVR";;
4) echo "Y=13 OK";;
5) test "$1" = once && echo "under range" >&2; echo "Y=14 ";;
esac
}
test "$1" = once && { say once; exit; }
echo ok
while read l; do say; echo ok; done`)
		bench := b.mustOpen("[meter]\ndriver = \"command\"\ntimeout = \"5s\"\nretries = 0\n[meter.options]\n" + how + patterns)
		want := []string{"10 []", "11 [saturated]", "12 [saturated below_floor]", "13 []", "14 []"}
		if strings.Contains(how, "once") {
			want[4] = "14 [below_floor]"
		}
		for i, want := range want {
			s, err := one(t.Context(), bench, benchRead)
			if got := fmt.Sprint(s.Y, " ", s.Flags); err != nil || got != want {
				t.Errorf("%s: reading %d is %s (%v), want %s", how, i+1, got, err, want)
			}
		}
	}
}

// TestFirstAndLast: lines are written once after the program has started, also when it is started anew, each when it is ready, and one
// before it is ended. What it says against a first line is an error of opening it.
func TestFirstAndLast(t *testing.T) {
	const toml = `[meter]
driver = "command"
timeout = "5s"
retries = 2
[meter.options]
run = "./meter"
keep = true
ready = ">"
first = ["unit cd", "mode spot"]
last = "quit"
send = "m"
reply = "Y={Y}"
failure = "error: {message}"
`
	b := newBed(t)
	b.program("meter", `printf '> '
while read line; do
echo "$line" >>told
case $line in
m) n=$((n+1)); test -e fail && { rm fail; exit 3; }; echo "Y=$n";;
"mode spot") test -e broken && echo "error: no spot";;
quit) exit;;
esac
printf '> '
done`)
	opened, err := b.open(toml)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(b.folder, "fail"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if s, err := one(t.Context(), opened, benchRead); err != nil || s.Y != 1 || s.Tries != 2 {
		t.Errorf("it reads %+v, %v", s, err)
	}
	if err := opened.Close(); err != nil {
		t.Error(err)
	}
	told, err := os.ReadFile(filepath.Join(b.folder, "told"))
	if want := "unit cd\nmode spot\nm\nunit cd\nmode spot\nm\nquit\n"; err != nil || string(told) != want {
		t.Errorf("it was told %q (%v), want %q", told, err, want)
	}
	if err := os.WriteFile(filepath.Join(b.folder, "broken"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := b.open(toml); err == nil || !strings.Contains(err.Error(), "the instrument reports: no spot") {
		t.Errorf("the error is %v", err)
	}
}

// TestExchangedBetweenRuns: after a failure, a program that is run for each request is asked who is there, and another instrument is not taken for the
// one before.
func TestExchangedBetweenRuns(t *testing.T) {
	for _, serial := range []string{"12", "13"} {
		b := newBed(t)
		b.program("meter", `n=$(cat n 2>/dev/null || echo 0)
case $1 in
who) echo x >>asked; test "$n" -ge 2 && echo "Dunlin `+serial+`" || echo "Dunlin 12"; exit;;
esac
n=$((n+1)); echo $n >n
test $n = 2 && { echo "no light" >&2; exit 3; }
echo "Y=$n"`)
		m := b.mustOpen("[meter]\ndriver = \"command\"\nretries = 2\n[meter.options]\nrun = \"./meter read\"\nreply = \"Y={Y}\"\nabout = { run = \"./meter who\", reply = \"{name} {serial}\" }\n")
		if s, err := one(t.Context(), m, benchRead); err != nil || s.Y != 1 {
			t.Fatalf("it reads %v, %v", s.Y, err)
		}
		s, err := one(t.Context(), m, benchRead)
		var gone *bench.GoneError
		switch {
		case serial == "12" && (err != nil || s.Y != 3 || s.Tries != 2):
			t.Errorf("it reads %+v, %v", s, err)
		case serial == "13" && (!errors.As(err, &gone) || !strings.Contains(err.Error(), "Dunlin 13 answers in the place of Dunlin 12")):
			t.Errorf("another one in its place reads %+v, %v", s, err)
		}
		asked, _ := os.ReadFile(filepath.Join(b.folder, "asked"))
		if n := strings.Count(string(asked), "x"); n != 2 {
			t.Errorf("it was asked %d times who it is, want 2", n)
		}
	}
}

// TestRefusedReplyIsShown: a reading that cannot be right is told of with what the program wrote.
func TestRefusedReplyIsShown(t *testing.T) {
	b := newBed(t)
	b.program("fieldmeter", `echo "Y=-700"`)
	_, err := one(t.Context(), b.mustOpen("[meter]\ndriver = \"command\"\nretries = 0\n[meter.options]\nrun = \"./fieldmeter\"\nreply = \"Y={Y}\"\n"), benchRead)
	if want := `luminance is -700 cd/m²; it must be at least -1 cd/m² (the program wrote "Y=-700")`; err == nil || err.Error() != want || fault.CodeOf(err) != bench.CodeBadReading {
		t.Errorf("the error is %v, want %s", err, want)
	}
}

var benchRead = bench.ReadRequest{}

// kept is a bench file of a program that is kept open.
func kept(more string) string {
	return "[meter]\ndriver = \"command\"\ntimeout = \"500ms\"\nretries = 20\n" + `[meter.options]
run = "./kept"
keep = true
send = "read"
reply = "Y={Y}"
` + more
}

// TestKept is a program that is kept open, with and without a ready mark and a terminal.
func TestKept(t *testing.T) {
	for _, c := range []struct{ name, body, more string }{
		{"plain", `n=0; while read line; do n=$((n+1)); echo "Y=$n"; done`, ""},
		{"mark", `n=0; printf "> "; while read line; do n=$((n+1)); echo working; echo "Y=$n"; printf "> "; done`, "ready = \">\"\n"},
		{"terminal", `stty -echo; test -t 0 || exit 3; n=0; printf "> "; while read line; do n=$((n+1)); echo "Y=$n"; printf "> "; done`, "ready = \">\"\nterminal = true\n"},
		{"prompt", `n=0; printf "Enter to read,\n q to quit: "; while read line; do n=$((n+1)); echo "Y=$n"; printf "Enter to read,\n q to quit: "; done`, "ready = \"quit:\"\n"},
		{"colours and progress", `n=0; while read line; do n=$((n+1)); printf "10 %%\r\033[31m20 %%\r\033[0mY=$n\r\n"; done`, ""},
		{"echo", `n=0; printf "> "; while read line; do n=$((n+1)); echo "Y=$n"; printf "> "; done`, "ready = \">\"\nterminal = true\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBed(t)
			b.program("kept", c.body)
			opened := b.mustOpen(kept(c.more))
			for n := 1.0; n <= 5; n++ {
				if s, err := one(t.Context(), opened, bench.ReadRequest{}); err != nil || s.Y != n {
					t.Errorf("reading %g is %+v, %v", n, s, err)
				}
			}
		})
	}
}

// TestKeptFaults: each fault of a program that is kept open ends in a right second try, by a program that was started
// anew, or in a clear error. The program counts its starts in a file; the first one misbehaves.
func TestKeptFaults(t *testing.T) {
	const counted = `echo x >>starts; s=$(wc -l <starts); test $s -gt 1 && while read line; do echo "Y=$((100+s))"; done
`
	for _, c := range campaign.Some(t, []struct {
		name, body string
	}{
		{"silence", `read line; sleep 30`},
		{"half a line", `read line; printf "Y=7"; sleep 30`},
		{"two lines", `read line; printf "Y=7\nY=8\n"; sleep 30`},
		{"late", `read line; sleep 0.7; echo "Y=7"; sleep 30`},
		{"garbage", `read line; head -c 300 /dev/urandom; echo; sleep 30`},
		{"nan", `read line; echo "Y=nan"; sleep 30`},
		{"1e400", `read line; echo "Y=1e400"; sleep 30`},
		{"10 MB line", `read line; head -c 10000000 /dev/zero | tr '\0' a; sleep 30`},
		{"drip", `read line; while true; do printf y; sleep 0.1; done`},
		{"flood of errors", `read line; yes no >&2`},
		{"dies in mid-read", `read line; printf "Y="; exit 3`},
		{"ignores the end", `trap "" TERM INT HUP; read line; while true; do sleep 1; done`},
		{"a child holds the pipe", `sleep 30 & read line; exit 0`},
		{"answers unasked", `echo "Y=7"; sleep 0.2; read line; echo "Y=8"; sleep 30`},
	}, 4) {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			b := &bed{t: t, folder: t.TempDir()}
			b.program("kept", counted+c.body)
			opened := b.mustOpen(kept(""))
			if c.name == "answers unasked" {
				time.Sleep(100 * time.Millisecond)
			}
			s, err := one(t.Context(), opened, bench.ReadRequest{})
			if err != nil || s.Tries < 2 || s.Y != float64(100+s.Tries) { // a busy machine may need more than two
				t.Errorf("it reads %+v, %v", s, err)
			}
			if left := strayProcesses(b.folder); left != "" {
				t.Errorf("the first program is left: %s", left)
			}
		})
	}
}

// strayProcesses are those that work in a folder, without the one that was started last.
func strayProcesses(folder string) string {
	out, _ := exec.Command("sh", "-c", `for p in /proc/[0-9]*; do test "$(readlink $p/cwd)" = "$1" && tr '\0' ' ' <$p/cmdline && echo; done`, "sh", folder).Output()
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	lines = slices.DeleteFunc(lines, func(l string) bool { return l == "" || strings.Contains(l, "readlink") })
	if len(lines) <= 1 {
		return ""
	}
	return strings.Join(lines, "; ")
}

// TestKeptGone is a program that never comes back: the run is paused.
func TestKeptGone(t *testing.T) {
	b := newBed(t)
	b.program("kept", `test -e gone && exit 3; touch gone; read line; echo "no light" >&2; exit 4`)
	_, err := one(t.Context(), b.mustOpen(strings.Replace(kept(""), "retries = 20", "retries = 1", 1)), bench.ReadRequest{})
	if !errors.Is(err, bench.ErrPaused) || !strings.Contains(err.Error(), "the program ended with exit status 3") {
		t.Errorf("the error is %v", err)
	}
}

// TestOnceFaults are those of a program that is run for each reading.
func TestOnceFaults(t *testing.T) {
	for _, c := range campaign.Some(t, []struct{ name, body, code, says string }{
		{"silence", `exec sleep 30`, bench.CodeTimeout, "the answer to read did not come within 2 s; it wrote nothing"},
		{"half a prompt", `printf "press a key"; exec sleep 30`, bench.CodeTimeout, `it wrote "press a key" until then`},
		{"nothing", `exit 0`, bench.CodeGarbled, `the program wrote no line that matches "Y={Y}"`},
		{"other", `echo hello`, bench.CodeGarbled, `the program wrote no line that matches "Y={Y}"; its last line is "hello"`},
		{"two lines", `echo Y=1; echo Y=2`, bench.CodeGarbled, `the program wrote two lines that match "Y={Y}"; the second is "Y=2"`},
		{"own error", `echo "Error: no light"`, bench.CodeInstrument, "the instrument reports: no light"},
		{"own error on the error stream", `echo "Error: no light" >&2; exit 1`, bench.CodeInstrument, "the instrument reports: no light"},
		{"status", `echo "cable" >&2; exit 3`, bench.CodeInstrument, "the instrument reports: the program ended with exit status 3: cable"},
		{"endless", `yes`, bench.CodeGarbled, "the program wrote too much"},
		{"long line", `head -c 100000 /dev/zero | tr '\0' a`, bench.CodeGarbled, "the program wrote a line of more than 65536 bytes"},
		{"absurd", `echo Y=-77`, bench.CodeBadReading, "luminance is -77 cd/m²"},
		{"last words", `echo "calibration lid is closed" >&2; echo hello`, bench.CodeGarbled, "the program's last words: calibration lid is closed"},
		{"child", `sleep 30 & echo Y=5`, "", ""},
	}, 4) {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			b := &bed{t: t, folder: t.TempDir()}
			b.program("once", c.body)
			opened := b.mustOpen("[meter]\ndriver='command'\ntimeout='2s'\nretries=0\n[meter.options]\nrun='./once'\nreply='Y={Y}'\nfailure='Error: {message}'\n")
			s, err := one(t.Context(), opened, bench.ReadRequest{})
			if c.code == "" {
				if err != nil || s.Y != 5 {
					t.Errorf("it reads %+v, %v", s, err)
				}
			} else if fault.CodeOf(err) != c.code || !strings.Contains(err.Error(), c.says) {
				t.Errorf("the error is %q of code %q, want %q of code %q", err, fault.CodeOf(err), c.says, c.code)
			}
			if left := strayProcesses(b.folder); left != "" {
				t.Errorf("left: %s", left)
			}
		})
	}
}

// TestFile is a program that writes its reply and a spectrum into files.
func TestFile(t *testing.T) {
	b := newBed(t)
	b.program("once", `test -e quiet || printf "nm;W\n380;0.5\n390;0.25\n400;0.125\nluminance;12.5\n" >out.csv`)
	opened := b.mustOpen("[meter]\ndriver='command'\nretries=0\n[meter.options]\nrun='./once'\nreply='luminance;{Y}'\nspectrum='{nm};{value}'\nfile='out.csv'\n")
	s, err := one(t.Context(), opened, bench.ReadRequest{Spectrum: true})
	if err != nil || s.Y != 12.5 || s.Spectrum == nil || s.Spectrum.From != 380 || s.Spectrum.Step != 10 || !slices.Equal(s.Spectrum.Values, []float64{0.5, 0.25, 0.125}) {
		t.Errorf("it reads %+v, %v", s, err)
	}
	if err := os.WriteFile(filepath.Join(b.folder, "quiet"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := one(t.Context(), opened, bench.ReadRequest{}); err == nil || !strings.Contains(err.Error(), "the program did not write") {
		t.Errorf("an old file gives %v", err)
	}
}

// TestFileIsPipe: a pipe in the place of the file keeps nobody waiting.
func TestFileIsPipe(t *testing.T) {
	b := newBed(t)
	b.program("once", `mkfifo out.csv`)
	opened := b.mustOpen("[meter]\ndriver='command'\nretries=0\n[meter.options]\nrun='./once'\nreply='{Y}'\nfile='out.csv'\n")
	if _, err := one(t.Context(), opened, bench.ReadRequest{}); fault.CodeOf(err) != bench.CodeGarbled || !strings.Contains(err.Error(), "it must be a regular file") {
		t.Errorf("the error is %v", err)
	}
}

// TestProgramGone: a program that is not there is said before anything is asked, with its whole path.
func TestProgramGone(t *testing.T) {
	b := newBed(t)
	_, err := b.open("[meter]\ndriver='command'\n[meter.options]\nrun='./a meter --once'\nreply='{Y}'\n")
	if err == nil || !strings.Contains(err.Error(), fmt.Sprintf("the program %q cannot be started: no such file", filepath.Join(b.folder, "a"))) || !strings.Contains(fault.HintOf(err), "a path with blanks stands in a list") {
		t.Errorf("the error is %v (%s)", err, fault.HintOf(err))
	}
	b.program("a meter", `echo 5`)
	opened := b.mustOpen("[meter]\ndriver='command'\n[meter.options]\nrun=['./a meter', '--once']\nreply='{Y}'\n")
	if s, err := one(t.Context(), opened, bench.ReadRequest{}); err != nil || s.Y != 5 {
		t.Errorf("it reads %+v, %v", s, err)
	}
}

// TestOthers are programs as patches, unit and rig.
func TestOthers(t *testing.T) {
	b := newBed(t)
	b.program("tell", `echo "$@" >>told; echo done`)
	b.program("lux", `echo "E = 1,25 klx"`)
	opened := b.mustOpen(`[patches]
driver = "command"
[patches.chain]
range = "limited"
bits = 10
[patches.options]
run = ["./tell", "{code_1}", "{code_2}", "{code_3}", "{window:1}", "{back_code_1}"]
reply = "done"
shows = ["checkerboard", "hlg"]
[unit]
driver = "command"
[unit.options]
run = ["./tell", "{name}={value}"]
[rig]
driver = "command"
[rig.options]
decimal = ","
lamp = { run = "./tell lamp {lamp} {level:0}" }
turn = { run = "./tell {axis} {degrees}", reply = "done" }
lux = { run = "./lux", reply = "E = {lux klx} klx" }
`)
	shown, err := opened.Patches.Show(t.Context(), bench.Patch{RGB: [3]float64{1, 0.5, 0}, Window: 10, Signal: bench.SDR})
	if err != nil || !slices.Equal(shown.Codes, []int{940, 502, 64}) || shown.Area != 10 {
		t.Errorf("shown %+v, %v", shown, err)
	}
	hlg := bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 10, Signal: bench.HLG}
	if err := bench.CanShow(opened.Patches, hlg); err != nil {
		t.Error(err)
	}
	if hlg.Pattern.Kind = bench.Ramp; bench.CanShow(opened.Patches, hlg) == nil {
		t.Error("a program that does not say that it shows ramps is asked for one")
	}
	if _, err := opened.Unit.Set(t.Context(), []bench.Setting{{Name: "Automatic brightness; rm", Value: "off"}}); err != nil {
		t.Error(err)
	}
	if _, err := opened.Rig.Set(t.Context(), "left", 50); err != nil {
		t.Error(err)
	}
	turner, _ := bench.As[bench.Turner](opened.Rig)
	if at, err := turner.Turn(t.Context(), bench.Horizontal, 30); err != nil || at != 30 {
		t.Errorf("turned to %g, %v", at, err)
	}
	sensor, _ := bench.As[bench.LightSensor](opened.Rig)
	if lux, err := sensor.Lux(t.Context(), bench.AtScreen); err != nil || lux.Lux != 1250 {
		t.Errorf("lux is %g, %v", lux.Lux, err)
	}
	if _, places := bench.As[bench.Placer](opened.Rig); places {
		t.Error("it moves the meter, which the file does not say")
	}
	told, _ := os.ReadFile(filepath.Join(b.folder, "told"))
	if want := "940 502 64 10.0 64\nAutomatic brightness; rm=off\nlamp left 50\nhorizontal 30\n"; string(told) != want {
		t.Errorf("the programs were told %q, want %q", told, want)
	}
	if _, err := opened.Unit.Set(t.Context(), []bench.Setting{{Name: "a\nb", Value: "off"}}); err == nil || !strings.Contains(err.Error(), "it must have no control characters") {
		t.Errorf("a line end in a name gives %v", err)
	}
}

// TestAbout asks who is there.
func TestAbout(t *testing.T) {
	b := newBed(t)
	b.program("once", `case $1 in --id) echo "Dunlin 3, serial AB-12";; *) echo Y=1;; esac`)
	opened := b.mustOpen("[meter]\ndriver='command'\n[meter.options]\nrun='./once'\nreply='Y={Y}'\nabout={ run='./once --id', reply='{name}, serial {serial}' }\n")
	if id, _ := opened.About("meter"); id.Name != "Dunlin 3" || id.Serial != "AB-12" || id.Driver != "command" {
		t.Errorf("it is %+v", id)
	}
}

// TestOptionErrors are bench files that cannot be used.
func TestOptionErrors(t *testing.T) {
	for _, c := range []struct{ options, says string }{
		{`reply="Y={Y}"`, "meter.options.run must name the program"},
		{`run="x"`, "meter.options.reply must be a pattern with {Y} in it"},
		{`run="x"` + "\n" + `reply="{Y} {z}"`, "meter.options.reply has the field {z}; its fields can be {Y}, {X}, {Z}, {x}, {y}, {u}, {v}, {seconds}, {count}"},
		{`run="x"` + "\n" + `reply="{Y}"` + "\n" + `replay="{Y}"`, "meter.options.replay is unknown; the keys of meter.options are"},
		{`run="x"` + "\n" + `reply="{Y}"` + "\n" + `ready=">"`, "meter.options.ready is given, and the program is not kept open"},
		{`run="x"` + "\n" + `reply="{Y}"` + "\n" + `keep=true`, "meter.options.send must be given, since the program is kept open"},
		{`run="x {level}"` + "\n" + `reply="{Y}"`, `meter.options.run is "{level}"; its fields can be {spectrum}, {sync}, {expect}`},
		{`run="x"` + "\n" + `reply="{Y}"` + "\n" + `decimal=";"`, `meter.options.decimal is ";"; it must be "." or ","`},
		{`run=7` + "\n" + `reply="{Y}"`, "meter.options.run is 7; it must be a text in quotes, or a list of such, and not empty"},
		{`run="./nosuch"` + "\n" + `reply="{Y}"` + "\n" + `keep=true` + "\n" + `send=""`, "cannot be started: no such file or directory"},
	} {
		b := newBed(t)
		_, err := b.open("[meter]\ndriver='command'\n[meter.options]\n" + c.options + "\n")
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: the error is %v, want %s", c.options, err, c.says)
		}
	}
}

// BenchmarkKept is a reading through a program that is kept open and answers at once.
func BenchmarkKept(b *testing.B) {
	folder := b.TempDir()
	file, err := bench.ParseFile(filepath.Join(folder, "b.toml"), []byte("[meter]\ndriver='command'\n[meter.options]\nrun=['sh', '-c', 'while read l; do echo Y=1; done']\nkeep=true\nsend='r'\nreply='Y={Y}'\n"))
	if err != nil {
		b.Fatal(err)
	}
	opened, err := bench.Open(b.Context(), file, bench.Openers{"command": Opener(new(child.Keeper), nil)})
	if err != nil {
		b.Fatal(err)
	}
	defer opened.Close()
	for b.Loop() {
		if _, err := one(b.Context(), opened, bench.ReadRequest{}); err != nil {
			b.Fatal(err)
		}
	}
}
