package rehearse

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"candelua/engine/bench"
	"candelua/engine/caution"
	"candelua/engine/fault"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/script"
)

// Report is what a rehearsal tells. Times are in seconds.
type Report struct {
	Procedure string  `json:"procedure"`
	Bench     string  `json:"bench"`
	Unit      string  `json:"unit,omitempty"`
	Mode      string  `json:"mode,omitempty"`
	Done      bool    `json:"done"` // it came to its end
	Seconds   float64 `json:"seconds"`
	Steps     int     `json:"steps"`
	Readings  int     `json:"readings"` // single ones
	Patches   int     `json:"patches"`
	Values    int     `json:"values"` // recorded
	Hands     Hands   `json:"hands"`
	Parts     []Part  `json:"parts,omitempty"`
	Light     Light   `json:"light"`
	Flashing  string  `json:"flashing,omitempty"` // why it flashes, by its contract
	// Cautions are what has to be accepted or known before the run.
	Cautions []caution.Caution `json:"cautions,omitempty"`
	Untold   []string          `json:"untold,omitempty"` // what cannot be told
	Surprise *Surprise         `json:"surprise,omitempty"`
}

// Hands is what a person has to do.
type Hands struct {
	Seconds float64 `json:"seconds"`
	Prompts int     `json:"prompts"` // readings, patches, settings and questions
	Moves   int     `json:"moves"`   // of those, hand movements at the unit and the rig
}

// Part is a named part of the run, or what is outside of all parts.
type Part struct {
	Name    string  `json:"name"`
	Seconds float64 `json:"seconds"`
	Share   float64 `json:"share"` // of the whole, 0 to 1
}

// Light is what the panel has to bear.
type Light struct {
	Longest float64 `json:"longest_still_seconds"` // a bright picture
	Still   float64 `json:"still_white_hours"`     // of full white that stood still
	Heat    float64 `json:"full_screen_white_hours"`
	Most    float64 `json:"brightest"` // 1 is SDR white
	Budget  float64 `json:"budget_white_hours,omitempty"`
	Over    bool    `json:"over_budget,omitempty"`
}

// Surprise is where the run would end early.
type Surprise struct {
	Seconds float64 `json:"seconds"`
	Step    int     `json:"step"`
	At      string  `json:"at,omitempty"` // the script's line
	Error   string  `json:"error"`
	Hint    string  `json:"hint,omitempty"`
	Err     error   `json:"-"`
}

// Request is what a step asked of a device, as the rehearsal saw it.
type Request struct {
	Step   int
	Name   string
	At     string // the script's line
	Now    float64
	Device string
	Of     any // nil where nothing was asked
}

// Rehearsal is one execution with all that was seen of it.
type Rehearsal struct {
	Report   *Report
	Outcome  *play.Outcome
	Requests []Request
	Job      *play.Job
}

// Run rehearses a procedure. budget is how many hours of full white the panel may bear, 0 for no limit. An error says why it could not begin;
// what ends the script is in the report.
func Run(ctx context.Context, loaded *procedure.Loaded, params script.Params, t Target, budget float64) (*Rehearsal, error) {
	contract := loaded.Contract
	if need, is := contract.Needed["rig"]; is {
		t.Lamps = append(t.Lamps, need.Abilities["lamps"].Names...)
	}
	w := &watch{target: &t, hands: map[string]bool{}, took: map[string]time.Duration{}}
	stage, untold, err := t.stage(w.wait)
	if err != nil {
		return nil, err
	}
	w.hands = stage.ByHand
	if t.Ready != nil {
		stage.Ready = func(b *bench.Bench) error { return t.Ready(contract, b, t.Mode) }
	}
	p := loaded.Procedure
	head := history.Head{Rules: history.Rules, Procedure: p.Name, File: p.File, Source: p.FoundAs(), Scripts: loaded.Sums(), Params: params, Seed: t.Seed, Unit: t.Unit.Name,
		Serial: t.Unit.Serial(), Panel: t.Unit.Panel(), Mode: t.Mode, Caution: contract.Caution}
	out, job, err := play.RehearseOn(ctx, loaded.Program, head, stage, w.tell)
	if err != nil {
		return nil, err
	}
	r := w.report(out, contract)
	r.Procedure, r.Mode, r.Bench = p.Name, t.Mode, t.called()
	if t.Unit.Named() {
		r.Unit = t.Unit.Name
	}
	r.Cautions = loaded.CautionsWith(params)
	r.Untold = append(untold, w.untold(t)...)
	r.Light.Budget, r.Light.Over = budget, budget > 0 && r.Light.Still > budget
	return &Rehearsal{Report: r, Outcome: out, Requests: w.requests, Job: job}, nil
}

// watch sees a rehearsal go on.
type watch struct {
	target   *Target
	hands    map[string]bool
	requests []Request
	took     map[string]time.Duration
	step     Request
	readings int
	patches  int
	man      Hands
	late     float64 // of the readings since the last step ended, in seconds
	parts    []Part
	open     []int // of the parts
	since    float64
	patch    *bench.Patch
	lit      float64
	heat     float64
	settled  bool // somebody waits for a light to become stable, by hand
	asked    bool // somebody was asked a question
}

func (w *watch) tell(e play.Event) {
	switch e := e.(type) {
	case play.Began:
		*w = watch{target: w.target, hands: w.hands, took: map[string]time.Duration{}}
	case play.Progress:
		w.begins(e)
	case play.Answered:
		w.ends(e)
	case play.Read:
		w.readings++
		if w.hands[e.Meter] {
			w.man.Prompts++
		}
	case play.Part:
		w.credit(e.Now)
		if e.Begins {
			i := slices.IndexFunc(w.parts, func(p Part) bool { return p.Name == e.Name })
			if i < 0 && len(w.open) == 0 {
				i = len(w.parts)
				w.parts = append(w.parts, Part{Name: e.Name})
			}
			w.open = append(w.open, i) // what is inside of another part counts there
		} else if n := len(w.open); n > 0 {
			w.open = w.open[:n-1]
		}
	}
}

// credit gives the time since the last call to the outermost open part.
func (w *watch) credit(now float64) {
	if len(w.open) > 0 {
		w.parts[w.open[0]].Seconds += now - w.since
	}
	w.since = now
}

func (w *watch) begins(p play.Progress) {
	w.step = Request{Step: p.Step, Name: p.Name, At: p.At, Now: p.Now, Device: p.Device}
	if p.Request != nil {
		if of, err := p.Request(); err == nil { // else the step itself says what is wrong
			w.step.Of = of
		}
	}
	w.requests = append(w.requests, w.step)
	hand := w.hands[p.Device]
	switch q := w.step.Of.(type) {
	case bench.Patch:
		w.patches++
		w.show(q, p.Now)
	case []bench.TimedPatch:
		w.patches += len(q)
		at := p.Now
		for _, x := range q {
			w.show(x.Patch, at)
			at += x.Hold
		}
	case bench.ReadRequest:
		w.settled = w.settled || hand && p.Name == "meter.settle"
		return // prompts are counted by readings
	}
	if !hand {
		return
	}
	w.man.Prompts++
	w.man.Moves += w.moves()
	w.asked = w.asked || p.Device == string(bench.KindOperator)
}

// moves is how many hand movements a step is.
func (w *watch) moves() int {
	switch {
	case w.step.Device == string(bench.KindRig), w.step.Name == "unit.off", w.step.Name == "unit.on":
		return 1
	case w.step.Device == string(bench.KindUnit):
		return 1
	}
	return 0
}

// show adds up the heat of what was on the screen until now.
func (w *watch) show(p bench.Patch, now float64) {
	w.warm(now)
	w.patch, w.lit = &p, now
}

func (w *watch) warm(now float64) {
	if w.patch != nil {
		w.heat += caution.Brightness(*w.patch) * w.patch.Window / 100 * max(0, now-w.lit) / 3600
		w.lit = now
	}
}

func (w *watch) ends(a play.Answered) {
	if w.hands[w.step.Device] {
		w.man.Seconds += max(0, a.Now-w.step.Now-w.late)
	}
	w.late = 0
	w.warm(a.Now)
}

// wait is how long a person, or the real instrument, takes beyond the simulated one.
func (w *watch) wait(e play.Event) time.Duration {
	switch e := e.(type) {
	case play.Read:
		if w.hands[e.Meter] {
			one := handTimes["reading"]
			w.man.Seconds += one.Seconds() // it is told after its step, so that the next one seems to take it
			w.late += one.Seconds()
			return one
		}
	case play.Progress:
		if w.hands[e.Device] {
			return handTime(e.Name, e.Device)
		}
		return w.target.Pace.extra(e.Name, e.Device)
	}
	return 0
}

func handTime(step, device string) time.Duration {
	switch device {
	case string(bench.KindPatches):
		return handTimes["patch"]
	case string(bench.KindUnit):
		if step == "unit.set" {
			return handTimes["control"]
		}
		return handTimes["power"]
	case string(bench.KindRig):
		return handTimes["rig"]
	case string(bench.KindOperator):
		return handTimes["answer"]
	}
	return 0 // readings are counted one by one
}

func (w *watch) report(out *play.Outcome, c *script.Contract) *Report {
	whole := out.Seconds + w.late // a reading by hand after the last answer
	w.credit(whole)
	r := &Report{Done: out.Status == journal.Done, Seconds: whole, Steps: out.Steps, Readings: w.readings, Patches: w.patches, Hands: w.man,
		Light: Light{Longest: out.Lit.Longest, Still: out.Lit.Hours, Heat: w.heat, Most: out.Lit.Most}, Flashing: c.Flashing}
	if out.Results != nil {
		r.Values = len(out.Results.Values())
	}
	rest := whole
	for _, p := range w.parts {
		rest -= p.Seconds
		r.Parts = append(r.Parts, p)
	}
	if len(r.Parts) > 0 && rest > 0 {
		r.Parts = append(r.Parts, Part{Name: "outside of parts", Seconds: rest})
	}
	for i := range r.Parts {
		if whole > 0 {
			r.Parts[i].Share = r.Parts[i].Seconds / whole
		}
	}
	if !r.Done {
		r.Surprise = w.surprise(out)
	}
	return r
}

func (w *watch) surprise(out *play.Outcome) *Surprise {
	s := &Surprise{Seconds: out.Seconds, Step: out.Steps + 1, Err: out.Err, Error: "the run pauses"}
	if out.Err != nil {
		s.Error, s.Hint = out.Err.Error(), fault.HintOf(out.Err)
	}
	s.At = lineOf(out.Err)
	return s
}

// lineOf is the script's line that an error names.
func lineOf(err error) string {
	var placed interface {
		error
		Traceback() string
	}
	if !errors.As(err, &placed) {
		return ""
	}
	parts := strings.SplitN(placed.Error(), ":", 3)
	if len(parts) < 2 {
		return ""
	}
	return parts[0] + ":" + parts[1]
}

// untold is what a rehearsal cannot tell.
func (w *watch) untold(t Target) []string {
	all := []string{"which way the script goes where it decides by readings: the light is that of the simulated unit"}
	switch {
	case len(w.hands) > 0:
		all = append(all, fmt.Sprintf("how fast you are: a reading is taken to need %.0f s, a control %.0f s, a lamp or an angle %.0f s, an answer %.0f s",
			handTimes["reading"].Seconds(), handTimes["control"].Seconds(), handTimes["rig"].Seconds(), handTimes["answer"].Seconds()))
		if w.settled {
			all = append(all, "how long you watch a light that settles: only two readings that agree end it")
		}
		if w.asked {
			all = append(all, "what you answer: each question is answered with its example")
		}
	}
	if t.Bench != nil && !w.hands[string(bench.KindMeter)] && t.Pace == nil {
		all = append(all, "how long your meter takes for a reading: it is that of the simulated meter; --from RUN takes it from a run")
	}
	return all
}
