package builtins

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/result"
	"candelua/engine/script"
)

// rig is a bench of fakes and the door to it. Nothing on it has noise or
// memory, so that a test knows what must come out.
type rig struct {
	rules    int // 0: today's
	now      time.Duration
	light    func(seconds float64) bench.Sample // what the meters read
	took     time.Duration                      // by a single reading
	latency  time.Duration                      // of the patches
	area     float64                            // truly covered, %; 0: as asked
	pending  bool                               // a person shows the patches
	replies  []bench.Reply
	fault    error // of the next contact
	about    bench.Identity
	bench    *bench.Bench
	requests []bench.ReadRequest
	patches  []bench.Patch
	settings [][]bench.Setting
	asked    []bench.Question
	waits    []time.Duration

	steps   []script.Ask
	left    map[string][]any // what steps asked of each device, as the engine is told
	hands   []bool           // of each step: a person answered
	answers []json.RawMessage
	at      time.Duration // script time
	opened  []string
	closed  []bool

	rows    []script.ReadingRow
	results *result.Results
	printed strings.Builder
	seed    uint64

	corrections map[string]*bench.Correction // of the meters' readings, by place

	patchesAbout bench.Identity
	recorded     []json.RawMessage // answers of steps: nothing is asked of the bench
}

func newRig() *rig {
	r := &rig{took: time.Second, seed: 1, results: result.New(), left: map[string][]any{}}
	r.light = func(float64) bench.Sample { return bench.Sample{Y: 100} }
	r.bench = &bench.Bench{Meters: map[string]bench.Meter{"meter": fakeMeter{r}, "reference": fakeMeter{r}},
		Patches: fakePatches{r}, Unit: fakeUnit{r}, Operator: fakeOperator{r}, Clock: fakeClock{r}}
	return r
}

// allNeeds are needs under which a script may use everything.
const allNeeds = `needs = { meter = { dark = true, spectrum = true }, reference = { dark = true, spectrum = true }, patches = { sequence = true, pattern = true }, unit = { power = true }, rig = { lamps = true, lux = true, place = true, turn = true }, operator = {} },`

// play runs the lines of a procedure's run function on the rig.
func (r *rig) play(t testing.TB, body string) error {
	t.Helper()
	return r.load(t, "return procedure { title = 't', purpose = 'p', "+allNeeds+" run = function()\n"+body+"\nend }")
}

func (r *rig) load(t testing.TB, src string) error {
	t.Helper()
	program, err := script.Compile("test.lua", []byte(src), nil, Modules())
	if err != nil {
		t.Fatal(err)
	}
	rt, err := program.Start(t.Context(), r.host())
	if err != nil {
		return err
	}
	defer rt.Close()
	return rt.Run(script.Params{})
}

// host is what the rig lends to a script.
func (r *rig) host() script.Host {
	return script.Host{Door: r, Bench: r.bench, Results: r.results, Unit: "Crake 2", Mode: "Dusk", Day: "2026-11-20", Seed: r.seed, Rules: r.rules, Corrections: r.corrections,
		Devices: map[string]bench.Identity{"meter": r.about, "reference": {Name: "second"}, "operator": {ByHand: true}, "patches": r.patchesAbout},
		Reading: func(row script.ReadingRow) { r.rows = append(r.rows, row) },
		Print:   func(s string) { r.printed.WriteString(s + "\n") }}
}

// prints runs a body and checks what it prints.
func (r *rig) prints(t *testing.T, body, want string) {
	t.Helper()
	r.printed.Reset()
	err := r.play(t, body)
	if got := strings.TrimSuffix(r.printed.String(), "\n"); err != nil || got != want {
		t.Errorf("%s\n prints %q, %v\n want %q", body, got, err, want)
	}
}

// fails runs a body and checks its error, without the line before it.
func (r *rig) fails(t *testing.T, body, want string) {
	t.Helper()
	err := r.play(t, body)
	if err == nil || !strings.HasSuffix(err.Error(), ": "+want) {
		t.Errorf("%s\n ends with %v\n want …%s", body, err, want)
	}
}

func (r *rig) failure() error {
	err := r.fault
	r.fault = nil
	return err
}

func (r *rig) Step(ctx context.Context, a script.Ask) (script.Kept, error) {
	r.steps = append(r.steps, a)
	k := script.Kept{Number: len(r.steps)}
	if r.recorded != nil {
		k.Answer = r.recorded[len(r.steps)-1]
		return k, nil
	}
	c := &script.Contact{Sample: func(raw json.RawMessage) error { k.Samples = append(k.Samples, raw); return nil }}
	var err error
	k.Answer, err = a.Live(ctx, c)
	r.at = r.bench.Clock.Now()
	r.hands, r.answers = append(r.hands, c.ByHand), append(r.answers, k.Answer)
	if err == nil && a.Request != nil {
		var request any
		request, err = a.Request()
		r.left[a.Device] = append(r.left[a.Device], request)
	}
	if err != nil {
		return k, &script.StepError{Step: k.Number, Reason: fault.CodeOf(err), Text: err.Error(), Tip: fault.HintOf(err), Err: err}
	}
	return k, nil
}

func (r *rig) Open(_ context.Context, s script.Stretch) (int, error) {
	name := s.Name
	if s.Unbroken {
		name += " (unbroken)"
	}
	r.opened = append(r.opened, name)
	return len(r.opened), nil
}

func (r *rig) Close(_ int, failed bool) error {
	r.closed = append(r.closed, failed)
	return nil
}

func (r *rig) Steps() int { return len(r.steps) }

func (r *rig) SetAside(from int, reason, _, _ string) error {
	return fmt.Errorf("from %d: %s", from, reason)
}

func (r *rig) Now() float64                 { return r.at.Seconds() }
func (r *rig) Relit() (float64, bool, bool) { return 0, false, false }
func (r *rig) Time(t time.Duration) float64 { return t.Seconds() }

var _ script.Door = (*rig)(nil)

type fakeClock struct{ *rig }

func (c fakeClock) Now() time.Duration { return c.now }
func (c fakeClock) Wall() time.Time    { return time.Unix(0, 0).Add(c.now) }

func (c fakeClock) WaitUntil(_ context.Context, t time.Duration) error {
	c.waits = append(c.waits, t-c.now)
	c.now = max(c.now, t)
	return c.failure()
}

type fakeMeter struct{ *rig }

func (m fakeMeter) About() bench.Identity { return m.about }

func (m fakeMeter) Read(_ context.Context, q bench.ReadRequest, take func(bench.Sample) error) error {
	m.requests = append(m.requests, q)
	if err := m.failure(); err != nil {
		return err
	}
	for range q.Most {
		began := m.now
		m.now += m.took
		s := m.light(m.now.Seconds())
		s.Began, s.Ended = began, m.now
		if err := take(s); errors.Is(err, bench.Enough) {
			return nil
		} else if err != nil {
			return err
		}
	}
	return nil
}

type fakePatches struct{ *rig }

func (p fakePatches) About() bench.Identity { return bench.Identity{Name: "patches"} }

func (p fakePatches) Show(_ context.Context, patch bench.Patch) (bench.Shown, error) {
	p.rig.patches = append(p.rig.patches, patch)
	p.now += p.latency
	area := p.area
	if area == 0 {
		area = patch.Window
	}
	return bench.Shown{Lit: p.now, LitWithin: 10 * time.Millisecond, Area: area, Pending: p.pending}, p.failure()
}

// Acknowledge is a person who says after ten seconds that it is lit.
func (p fakePatches) Acknowledge(context.Context) (time.Duration, error) {
	p.now += 10 * time.Second
	return p.now, p.failure()
}

type fakeUnit struct{ *rig }

func (u fakeUnit) About() bench.Identity { return bench.Identity{Name: "unit"} }

func (u fakeUnit) Set(_ context.Context, s []bench.Setting) (bench.SetAnswer, error) {
	u.settings = append(u.settings, s)
	return bench.SetAnswer{}, u.failure()
}

type fakeOperator struct{ *rig }

func (o fakeOperator) About() bench.Identity { return bench.Identity{ByHand: true} }

func (o fakeOperator) Ask(_ context.Context, q bench.Question) (bench.Reply, error) {
	o.asked = append(o.asked, q)
	if len(o.replies) == 0 {
		return bench.Reply{Text: q.Example}, o.failure()
	}
	reply := o.replies[0]
	o.replies = o.replies[1:]
	return reply, o.failure()
}
