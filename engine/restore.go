package engine

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"candelua/engine/bench"
	"candelua/engine/fault"
	"candelua/engine/journal"
	"candelua/engine/script"
)

// The names of contacts outside the numbering.
const (
	asideRestore = "restore"
	asideSafe    = "safe-end"
	asideDevices = "devices" // other instruments, from here on
	asideScripts = "scripts" // an edited script, from here on
)

// betweenSteps sorts what happened outside the numbering by the step that came
// next. What a void set aside is left out: the world is rebuilt from what is
// kept.
func betweenSteps(j *journal.Journal) map[int][]journal.Record {
	out := map[int][]journal.Record{}
	next := 1
	for _, r := range j.All() {
		switch r.Kind {
		case journal.KindAnswer:
			next = r.Step + 1
		case journal.KindVoid:
			var kept []journal.Record
			for step := r.From + 1; step <= next; step++ {
				for _, r := range out[step] { // other instruments are no part of the steps
					if r.Name == asideDevices {
						kept = append(kept, r)
					}
				}
				delete(out, step)
			}
			next = r.From
			out[next] = append(out[next], kept...)
		case journal.KindAside, journal.KindResume:
			out[next] = append(out[next], r)
		}
	}
	return out
}

// rejoin applies what is other from a step on than at the run's start.
func (d *door) rejoin(step int) error {
	for _, r := range d.between[step] {
		if r.Kind != journal.KindAside || r.Name != asideDevices {
			continue
		}
		var now []bench.Named
		if err := json.Unmarshal(r.Args, &now); err != nil {
			return fmt.Errorf("the instruments from step %d on cannot be read from the journal: %w", step, err)
		}
		d.devices(now)
	}
	return nil
}

// relive takes in what a kept step left on the bench. A simulated world lives
// through it again.
func (d *door) relive(ctx context.Context, a script.Ask, s journal.Step) error {
	if err := d.reliveBetween(ctx, s.Number); err != nil {
		return err
	}
	ended := duration(s.T) + d.offset
	if a.Request != nil && s.Failure == nil {
		request, err := a.Request()
		if err != nil {
			return err
		}
		if d.asides == 0 { // else the world was so for a time, and it is not what the steps left
			d.left.Take(request)
		}
		kept := bench.Kept{Request: request, Samples: len(s.Samples), Began: duration(s.Asked) + d.offset, Ended: ended}
		if err := d.relived(a.Name, a.Device, kept); err != nil {
			return fmt.Errorf("step %d cannot be lived through again: %w", s.Number, err)
		}
	}
	d.skip(ended)
	return nil
}

// relived has a simulated device live through a request again.
func (d *door) relived(who, device string, k bench.Kept) error {
	r, ok := d.bench.Device(device).(bench.Reliver)
	if !ok {
		return nil
	}
	return fault.Guard(who, func() error { return r.Relive(k) })
}

// skip lets simulated time pass.
func (d *door) skip(to time.Duration) {
	if c, ok := d.bench.Clock.(bench.Skipper); ok {
		c.Skip(to)
	}
}

func (d *door) reliveBetween(ctx context.Context, next int) error {
	resumed := false
	for _, r := range d.between[next] {
		if r.Kind == journal.KindResume {
			resumed = true
			d.stand(r.PauseSeconds)
			continue
		}
		if err := d.reliveAside(r); err != nil {
			return err
		}
		resumed = resumed || r.Name == asideRestore // what it took is no script time
	}
	if resumed {
		d.offset = d.bench.Clock.Now() - d.now
	}
	return ctx.Err()
}

// stand lets a simulated bench stand for the length of a pause.
func (d *door) stand(seconds float64) {
	if c, ok := d.bench.Clock.(bench.Skipper); ok && seconds > 0 {
		c.Stand(d.bench.Clock.Now() + duration(seconds))
	}
}

// reliveAside has a simulated device live through what was put back, or made
// safe, between the steps.
func (d *door) reliveAside(r journal.Record) error {
	if len(r.Args) == 0 || r.Failure != nil || r.Name != asideRestore && r.Name != asideSafe {
		return nil
	}
	var was bench.Restored
	if err := json.Unmarshal(r.Args, &was); err != nil {
		return fmt.Errorf("what was put back cannot be read from the journal: %w", err)
	}
	for _, request := range was.Requests() {
		at := d.bench.Clock.Now()
		if err := d.relived(r.Device, r.Device, bench.Kept{Request: request, Began: at, Ended: at}); err != nil {
			return err
		}
	}
	return nil
}

// goLive puts the world back as the kept steps left it and turns to it.
func (d *door) goLive(ctx context.Context) error {
	if d.live {
		return nil
	}
	d.live = true
	if d.fresh {
		d.offset = d.bench.Clock.Now()
		return d.release()
	}
	if err := d.reliveBetween(ctx, d.next); err != nil {
		return d.fail(err)
	}
	pause, err := d.takeUp()
	if err != nil {
		return err
	}
	if err := d.release(); err != nil {
		return err
	}
	if d.onResume != nil && d.next > 1 {
		if err := d.putBack(ctx, bench.KindUnit, bench.KindRig); err != nil {
			return err
		}
		if err := d.resume(pause); err != nil {
			return err
		}
	}
	return d.putBack(ctx, bench.KindUnit, bench.KindRig, bench.KindPatches)
}

// takeUp puts on record that the run goes on, after which pause, and what is
// other from here on.
func (d *door) takeUp() (interlude, error) {
	i := interlude{Kind: onResume, Seconds: stoodBefore(d.journal)}
	var seconds float64
	if d.pause != nil {
		seconds, i.Reason = d.pause()
	}
	i.Seconds += seconds
	if err := d.append(journal.Record{Kind: journal.KindResume, T: d.Now(), PauseSeconds: seconds, Reason: i.Reason}); err != nil {
		return i, err
	}
	if err := d.join(); err != nil {
		return i, err
	}
	d.stand(seconds)
	return i, nil
}

// stoodBefore is for how long the run stood still already since it was last at
// work, other than in an interlude: an on_resume that was itself interrupted has
// not undone what the pause before it did.
func stoodBefore(j *journal.Journal) (seconds float64) {
	inside := 0 // the interlude that is open
	for _, r := range j.All() {
		switch {
		case r.Kind == journal.KindOpen && inside == 0 && interludeIn(r) != nil:
			inside = r.Block
		case r.Kind == journal.KindVoid, r.Kind == journal.KindClose && r.Block == inside:
			inside = 0
		case r.Kind == journal.KindAnswer && inside == 0:
			seconds = 0
		case r.Kind == journal.KindResume:
			seconds += r.PauseSeconds
		}
	}
	return seconds
}

// stoodBySteps is for how long the run had stood still in all before each step.
func stoodBySteps(j *journal.Journal, steps []journal.Step) []float64 {
	stood := make([]float64, len(steps))
	all, next := 0.0, 0
	for n, r := range j.All() {
		for ; next < len(steps) && steps[next].Record <= n; next++ {
			stood[next] = all
		}
		if r.Kind == journal.KindResume {
			all += r.PauseSeconds
		}
	}
	return stood
}

// join puts on record what is other from here on.
func (d *door) join() error {
	for _, join := range d.joins {
		if join.Before != nil {
			if err := join.Before(); err != nil {
				return d.fail(err)
			}
		}
		r := join.Record
		r.T = d.Now()
		if err := d.append(r); err != nil {
			return err
		}
		d.between[d.next] = append(d.between[d.next], r)
	}
	d.joins = nil
	if err := d.rejoin(d.next); err != nil {
		return d.fail(err)
	}
	return nil
}

// editing says that an edited script has not taken over yet.
func editing(joins []Join) bool {
	return slices.ContainsFunc(joins, func(j Join) bool { return j.Record.Name == asideScripts })
}

// putBack has these devices put back what the kept steps left. Where a person
// strikes an answer meanwhile and there is none, it is begun again.
func (d *door) putBack(ctx context.Context, kinds ...bench.Kind) error {
	for {
		err := d.restore(ctx, kinds)
		if err == nil {
			d.offset = d.bench.Clock.Now() - d.now
			return nil
		}
		if !errors.Is(err, bench.ErrStruck) {
			return d.fail(&RestoreError{err})
		}
		if err := d.strike(); err != nil {
			return err
		}
	}
}

// pause says how the run stood still before it goes on now. What ended it is
// looked up at once; how long it stood, when it goes on.
func (j *Job) pause(b *bench.Bench) func() (seconds float64, reason string) {
	reason, written := stoodBecause(j.Journal), j.Written
	if j.From > 0 {
		reason = j.Because
	}
	return func() (float64, string) {
		if _, simulated := b.Clock.(bench.Skipper); simulated {
			return j.Stood, reason
		}
		if written.IsZero() {
			return 0, reason
		}
		stood := b.Clock.Wall().Sub(written).Round(time.Second).Seconds()
		if stood < 0 {
			j.warn("the clock was set back since the run was stopped; how long it stood still is not known")
			return 0, reason + "; for how long is not known, since the clock was set back"
		}
		return stood, reason
	}
}

// stoodBecause is why a run stands still.
func stoodBecause(j *journal.Journal) string {
	struck := ""
	for n := j.Records(); n > 0; n-- {
		r := j.Record(n)
		switch {
		case r.Kind == journal.KindVoid:
			struck = r.Reason
		case r.Kind == journal.KindPause, r.Kind == journal.KindEnd && r.Reason != "":
			return r.Reason
		case r.Kind == journal.KindEnd:
			return "it was " + r.Status
		case struck != "":
			return struck
		default:
			return wasCutOff
		}
	}
	return ""
}

// wallStamp is what an end says of the day, so that a resumption knows how
// long the run stood still.
func wallStamp(t time.Time) json.RawMessage {
	text, _ := json.Marshal(struct {
		Wall time.Time `json:"wall"`
	}{t.UTC()})
	return text
}

// lastWritten is when the run was last at work: what its end says or, after a
// crash, when the journal's file was last written.
func lastWritten(j *journal.Journal, file time.Time) time.Time {
	var at struct {
		Wall time.Time `json:"wall"`
	}
	if last, ended := j.Ended(); ended && json.Unmarshal(last.Data, &at) == nil && !at.Wall.IsZero() {
		return at.Wall
	}
	return file
}

// aside keeps a contact that was no step.
func (d *door) aside(name string, kind bench.Kind, what bench.Restored, failed error) error {
	args, err := json.Marshal(what)
	if err != nil {
		return err
	}
	if _, ended := d.journal.Ended(); ended {
		return nil // a run that was done takes no more
	}
	r := journal.Record{Kind: journal.KindAside, Name: name, Device: string(kind), Args: args, T: d.Now()}
	if failed != nil {
		r.Failure = &journal.Failure{Code: fault.CodeOf(failed), Message: failed.Error()}
	}
	return d.append(r)
}

// Relit is when the patch was shown again as the run went on, in script time.
func (d *door) Relit() (lit float64, pending, again bool) {
	if d.relit == nil {
		return 0, false, false
	}
	return d.Time(d.relit.Lit), d.relit.Pending, true
}

// dark is what a run leaves on the unit.
var dark = bench.Patch{Window: 100, Signal: bench.SDR, At: [2]float64{0.5, 0.5}}

// safeEnd leaves unit and rig safe, however the run ended.
func (d *door) safeEnd(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), 10*time.Second)
	defer cancel()
	if rig, ok := d.bench.Rig.(bench.Safe); ok && d.touched(bench.KindRig) {
		failed := fault.Guard("rig", func() error { return rig.MakeSafe(ctx, d.stands.Lit()) })
		d.stands.Take(bench.SafeRequest{})
		if err := d.aside(asideSafe, bench.KindRig, bench.Restored{Safe: true}, failed); err != nil {
			return err
		}
	}
	if d.bench.Patches == nil || !d.touched(bench.KindPatches) {
		return nil
	}
	failed := fault.Guard("patches", func() error {
		_, err := d.bench.Patches.Show(ctx, dark)
		d.stands.Drop(dark)
		return err
	})
	return d.aside(asideSafe, bench.KindPatches, bench.Restored{Patch: &dark}, failed)
}

// touched says whether a device may stand as the run put it.
func (d *door) touched(kind bench.Kind) bool {
	if d.used[string(kind)] {
		return true
	}
	for _, r := range d.between[d.journal.Steps()+1] {
		if r.Name == asideSafe && r.Device == string(kind) && r.Failure == nil && !d.live {
			return false // was made safe before, and nothing was asked since
		}
	}
	for n := d.journal.Steps(); n > 0; n-- {
		if s, err := d.journal.Step(n); err == nil && s.Device == string(kind) {
			return true
		}
	}
	return false
}
