package progress

import (
	"context"
	"errors"
	"slices"
	"strings"
	"sync"
	"time"

	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/journal"
	"candelua/engine/operator"
	"candelua/engine/plain"
	"candelua/engine/play"
	"candelua/engine/report"
	"candelua/engine/result"
)

// Options say what is followed.
type Options struct {
	// Speed is how many seconds of script time pass in a second where the bench is simulated; 0 for one that is as fast as possible, of
	// which no time left is told. On a real bench it is 1.
	Speed float64
	Now   func() time.Time // nil for the time of day
}

// Follower follows a run. Its methods may be called by several goroutines, and none of them waits for anybody but [Follower.Look].
type Follower struct {
	mu      sync.Mutex
	opt     Options
	speed   float64 // see Options
	gauge   Gauge
	view    View
	step    *play.Progress
	read    *play.Read    // the last one
	shows   *play.Showing // what the unit shows
	means   means
	began   time.Time // of the step
	asked   time.Time // since when a question is open; zero for none
	waited  time.Duration
	parts   []string
	sight   *play.Sight
	results *result.Results // once the run has ended
}

// New follows a run that has not begun.
func New(o Options) *Follower {
	if o.Now == nil {
		o.Now = time.Now
	}
	return &Follower{opt: o, speed: o.Speed, view: View{Status: Starting}}
}

// Status says how a run stands.
type Status string

// The statuses. While a question is open, the run is running all the same.
const (
	Starting  Status = "starting"  // the bench is being opened, cautions are shown
	Running   Status = "running"   // the script is at work
	Computing Status = "computing" // all is measured, uncertainties are being computed
	Done      Status = "done"
	Paused    Status = "paused"
	Failed    Status = "failed"
)

// Over says whether nothing more comes.
func (s Status) Over() bool { return s == Done || s == Paused || s == Failed }

// View is what there is to show of a run. All texts are one line each and safe to show, but for Question, which has several.
type View struct {
	Status    Status `json:"status"`
	Procedure string `json:"procedure"`
	Title     string `json:"title"`
	Unit      string `json:"unit"`
	Mode      string `json:"mode"`
	Bench     string `json:"bench"`
	Simulated bool   `json:"simulated"`
	Folder    string `json:"folder"`
	Why       string `json:"why"`  // why it is paused or failed
	Next      string `json:"next"` // what to do then

	Step    int    `json:"step"` // number of the step that is being done, or was last; 0 before the first; at the end, of the last that was answered
	Doing   string `json:"doing"`
	Time    int    `json:"time"`  // script time at which it began, seconds
	Taken   int    `json:"taken"` // seconds since then
	Part    string `json:"part"`  // the parts that are open, the outer ones first
	About   int    `json:"about"` // how many steps there are about to be in all; 0 where that is not known
	Share   int    `json:"share"` // that is done, in %; 100 only at the end
	Left    string `json:"left"`  // time left in words; empty where it is not known
	Asks    int    `json:"asks"`  // how often a person is about to be asked besides the question that is open
	Shown   Shown  `json:"shown"`
	Reading string `json:"reading"` // the last one, with its unit

	Question string    `json:"question"` // that is open; empty for none
	Warnings []Warning `json:"warnings"` // the last ones, the newest first
	Pausing  bool      `json:"pausing"`  // somebody asked for a pause, which comes after the reading
	Made     int       `json:"made"`     // of Of repetitions for the uncertainties
	Of       int       `json:"of"`
	Grown    int       `json:"grown"` // another number where the results may be other ones
}

// Shown is what the unit shows.
type Shown struct {
	Words string       `json:"words"` // empty where it is not known
	Patch *bench.Patch `json:"patch,omitempty"`
}

// Warning is one warning of a run.
type Warning struct {
	Number int    `json:"number"` // from 1
	Text   string `json:"text"`
	At     string `json:"at"` // the time of day
}

// mostWarnings is how many of them are shown.
const mostWarnings = 8

// Paced sets the speed of a simulated bench, see [Options].
func (f *Follower) Paced(speed float64) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.opt.Speed = speed
}

// Tell takes an event of the run.
func (f *Follower) Tell(e play.Event) {
	f.mu.Lock()
	defer f.mu.Unlock()
	switch e := e.(type) {
	case play.Began:
		f.begin(e)
	case play.Progress:
		f.view.Step, f.step, f.began, f.waited = e.Step, &e, f.opt.Now(), 0
		f.gauge.Begin(e.Step, e.Now)
		f.view.Grown++
	case play.Answered:
		f.gauge.End(e.Name, e.Now, f.waited.Seconds()*f.speed)
	case play.Part:
		f.part(e)
	case play.Read:
		f.read = &e
		f.means.take(&e.ReadingRow)
	case play.Showing:
		f.shows = &e
	case play.Ended:
		f.end(e)
	case play.Concluded:
		f.results = e.Results
		f.view.Grown++
		if f.view.Status == Computing {
			f.view.Status = Done
		}
	}
}

func (f *Follower) begin(e play.Began) {
	h := e.Head
	if f.speed = 1; h.Simulated {
		f.speed = f.opt.Speed
	}
	f.view.Status, f.view.Procedure, f.view.Title = Running, plain.Line(h.Procedure), plain.Line(e.Title)
	f.view.Mode, f.view.Bench, f.view.Simulated = plain.Line(h.Mode), plain.Line(h.Bench), h.Simulated
	if f.view.Unit = ""; h.Unit != bench.DefaultUnit().Name {
		f.view.Unit = plain.Line(h.Unit)
	}
	f.means = nil
	f.sight, f.parts, f.view.Part, f.step, f.view.Step = e.Sight, nil, "", nil, 0
	devices := bench.Identities(h.Devices)
	f.gauge.ByHand = func(device string) bool { return devices[device].ByHand }
	f.gauge.Restart()
	f.view.Grown++
}

func (f *Follower) part(e play.Part) {
	if e.Begins {
		f.parts = append(f.parts, plain.Line(e.Name))
		f.gauge.Part(e.Name, e.Step)
	} else if len(f.parts) > 0 {
		f.parts = f.parts[:len(f.parts)-1]
	}
	f.view.Part = strings.Join(f.parts, ", ")
}

func (f *Follower) end(e play.Ended) {
	f.step, f.asked, f.view.Question, f.results = nil, time.Time{}, "", e.Results
	f.view.Grown++
	f.view.Status = map[journal.Standing]Status{journal.Done: Computing, journal.Paused: Paused, journal.Failed: Failed}[e.Status]
	f.view.Why, f.view.Step = why(e.Err), e.Steps
}

// why says in words what ended a run.
func why(err error) string {
	switch {
	case err == nil:
		return ""
	case errors.Is(err, play.ErrInterrupted):
		return "Somebody paused the run."
	}
	text := plain.Line(err.Error())
	if hint := fault.HintOf(err); hint != "" {
		text += " (" + plain.Line(hint) + ")"
	}
	return text
}

func readingText(r *play.Read) string {
	text := report.Display(r.Y) + " cd/m²"
	if r.Colour && r.X+r.Y+r.Z > 0 {
		sum := r.X + r.Y + r.Z
		text += ", x " + chromaticity(r.X/sum) + ", y " + chromaticity(r.Y/sum)
	}
	return text
}

func shownOf(e play.Showing) Shown {
	switch {
	case e.Off:
		return Shown{Words: "nothing: the unit is switched off"}
	case e.Patch == nil:
		return Shown{}
	}
	return Shown{Words: plain.Line(operator.Describe(*e.Patch)), Patch: e.Patch}
}

// Foreseen takes how the run is expected to go.
func (f *Follower) Foreseen(c *Course) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.gauge.Course = c
}

// Opened takes the run's folder, and the command that goes on with it where it pauses.
func (f *Follower) Opened(folder, resume string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.view.Folder, f.view.Next = plain.Line(folder), plain.Line(resume)
}

// Asked takes the question that is open now; "" where it is answered.
func (f *Follower) Asked(question string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if !f.asked.IsZero() {
		f.waited += f.opt.Now().Sub(f.asked)
		f.asked = time.Time{}
	}
	if f.view.Question = plain.Lines(question); question != "" {
		f.asked = f.opt.Now()
	}
}

// Warned takes a warning.
func (f *Follower) Warned(text string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	w := Warning{Number: 1, Text: plain.Line(text), At: f.opt.Now().Format("15:04:05")}
	if len(f.view.Warnings) > 0 {
		w.Number = f.view.Warnings[0].Number + 1
	}
	f.view.Warnings = append([]Warning{w}, f.view.Warnings[:min(len(f.view.Warnings), mostWarnings-1)]...)
}

// Drawing takes how many of the repetitions for the uncertainties are made.
func (f *Follower) Drawing(made, of int) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.view.Made, f.view.Of = made, of
}

// Pausing takes that somebody asked for a pause.
func (f *Follower) Pausing() {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.view.Pausing = true
}

// Over takes that the command ends, and why where it never came to a run.
func (f *Follower) Over(err error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	switch {
	case f.view.Status.Over():
	case err != nil:
		f.view.Status, f.view.Why = Failed, why(err)
	default:
		f.view.Status = Done
	}
}

// View is what there is to show now.
func (f *Follower) View() View {
	f.mu.Lock()
	defer f.mu.Unlock()
	v := f.view
	if f.step != nil {
		v.Doing, v.Time = plain.Line(f.step.Show()), int(f.step.Now)
		v.Taken = int(f.opt.Now().Sub(f.began).Seconds())
	}
	if f.read != nil {
		v.Reading = readingText(f.read)
	}
	if f.shows != nil {
		v.Shown = shownOf(*f.shows)
	}
	if v.Status == Running {
		f.estimate(&v)
	}
	switch v.Status {
	case Paused, Failed:
		v.Share = f.gauge.shown
	case Computing:
		v.Share = 99
	case Done:
		v.Share = 100
	}
	return v
}

// estimate fills in what is still to come.
func (f *Follower) estimate(v *View) {
	waited := f.waited
	if !f.asked.IsZero() {
		waited += f.opt.Now().Sub(f.asked)
	}
	rest, known := f.gauge.Rest((f.opt.Now().Sub(f.began) - waited).Seconds() * f.speed)
	v.Share = rest.Share
	if f.gauge.Course == nil {
		return
	}
	v.About, v.Asks = rest.Steps, rest.Asks
	switch {
	case f.speed <= 0:
	case !known:
		v.Left = "longer than expected"
	default:
		v.Left = leftText(rest.Seconds / f.speed)
	}
}

// Plots are those that the run is expected to record; none where that is not known.
func (f *Follower) Plots() []*result.Plot {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.gauge.Course == nil {
		return nil
	}
	return f.gauge.Course.Plots
}

// Readings are the means of the readings so far, one of each step in order; of very many only some.
func (f *Follower) Readings() []Mean {
	f.mu.Lock()
	defer f.mu.Unlock()
	return slices.Clone(f.means)
}

// ErrNoResults is a run that has not begun.
var ErrNoResults = errors.New("the run has not begun, so it has no results yet")

// Look gives the results so far, a copy. It waits while the script is computing, until ctx ends.
func (f *Follower) Look(ctx context.Context) (*result.Results, error) {
	f.mu.Lock()
	results, sight := f.results, f.sight
	f.mu.Unlock()
	switch {
	case results != nil:
		return results, nil
	case sight == nil:
		return nil, ErrNoResults
	}
	return sight.Look(ctx)
}
