package script

import (
	"context"
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"candelua/engine/fault"
	"candelua/engine/result"
)

// fakeDoor asks the world at once and keeps the answers; time passes one
// second a step.
type fakeDoor struct {
	asked []Ask
	kept  []Kept
}

func (d *fakeDoor) Step(ctx context.Context, a Ask) (Kept, error) {
	d.asked = append(d.asked, a)
	k := Kept{Number: len(d.asked)}
	var err error
	k.Answer, err = a.Live(ctx, &Contact{Sample: func(raw json.RawMessage) error {
		k.Samples = append(k.Samples, raw)
		return nil
	}})
	d.kept = append(d.kept, k)
	if err != nil {
		return k, &StepError{Step: k.Number, Reason: fault.CodeOf(err), Text: err.Error(), Tip: fault.HintOf(err), Err: err}
	}
	return k, nil
}

func (d *fakeDoor) Open(context.Context, Stretch) (int, error) { return 1, nil }
func (d *fakeDoor) Close(int, bool) error                      { return nil }
func (d *fakeDoor) Steps() int                                 { return len(d.asked) }
func (d *fakeDoor) SetAside(int, string, string, string) error { return nil }
func (d *fakeDoor) Now() float64                               { return float64(len(d.asked)) }
func (d *fakeDoor) Relit() (float64, bool, bool)               { return 0, false, false }
func (d *fakeDoor) Time(t time.Duration) float64               { return t.Seconds() }

var _ Door = (*fakeDoor)(nil)

// played is one execution of a script with a fake door.
type played struct {
	door    fakeDoor
	printed strings.Builder
	err     error
}

// play loads and runs a script that may use the modules.
func play(t testing.TB, file, src string, modules ...*Module) *played {
	t.Helper()
	p := &played{}
	program, err := Compile(file, []byte(src), nil, modules)
	if err != nil {
		t.Fatal(err)
	}
	rt, err := program.Start(t.Context(), Host{Door: &p.door, Results: result.New(), Seed: 1, Mode: "Dusk",
		Print: func(s string) { p.printed.WriteString(s + "\n") }})
	if err != nil {
		p.err = err
		return p
	}
	defer rt.Close()
	p.err = rt.Run(Params{})
	return p
}

// inRun makes a procedure of the lines that its run function holds.
func inRun(body string) string {
	return "return procedure { title = 't', purpose = 'p', needs = { meter = {}, reference = {}, patches = {}, unit = {}, rig = {} }, run = function()\n" + body + "\nend }"
}

// failed checks an error of a script, its hint and the script's line.
func failed(t *testing.T, err error, text, hint string) {
	t.Helper()
	if err == nil || !strings.HasSuffix(err.Error(), text) {
		t.Errorf("error:\n got  %v\n want …%s", err, text)
		return
	}
	var coded interface{ Hint() string }
	if got := fault.HintOf(err); got != hint || hint != "" && !errors.As(err, &coded) {
		t.Errorf("hint of %q:\n got  %q\n want %q", err, got, hint)
	}
}
