package engine

import (
	"context"
	"encoding/json"
	"fmt"

	"candelua/engine/journal"
	"candelua/engine/script"
)

// The stretches of a run that an uninterrupted one does not have.
const (
	onResume      = "on_resume"
	beforeRestart = "before_restart"
)

// interlude is what the open of such a stretch says of it.
type interlude struct {
	Kind    string  `json:"interlude"`
	Of      string  `json:"of,omitempty"`      // the unbroken stretch that starts over
	Seconds float64 `json:"pause_s,omitempty"` // how long the run stood still since it was last at work
	Reason  string  `json:"reason,omitempty"`
}

// interludeOf is what a recorded stretch says of itself, nil for the script's
// own.
func (d *door) interludeOf(b journal.Block) *interlude { return interludeOf(d.journal, b) }

func interludeOf(j *journal.Journal, b journal.Block) *interlude {
	if !b.Unbroken {
		return nil
	}
	return interludeIn(j.Record(b.Record))
}

// interludeIn is what the open of an interlude says of it, nil for any other.
func interludeIn(open journal.Record) *interlude {
	var i interlude
	if !open.Unbroken || len(open.Data) == 0 || json.Unmarshal(open.Data, &i) != nil || i.Kind == "" {
		return nil
	}
	return &i
}

// recordedInterlude is the interlude that the journal holds next, nil where
// there is none before the next step.
func (d *door) recordedInterlude() (journal.Block, *interlude) {
	b, ok := d.journal.Block(d.opened + 1)
	if !ok || b.Next != d.next {
		return b, nil
	}
	return b, d.interludeOf(b)
}

// resumedBefore does again what on_resume did before this point of the script.
func (d *door) resumedBefore(at string) error {
	for {
		b, i := d.recordedInterlude()
		if i == nil || i.Kind != onResume {
			return nil
		}
		if last := d.lastOf(b); last > b.Number {
			d.opened = last - 1
			continue
		}
		if d.bench != nil && !d.live && b.Closed && d.next > d.journal.Steps() {
			d.opened = len(d.journal.Blocks()) // the run goes live here, with an on_resume of its own
			return nil
		}
		if d.onResume == nil {
			return d.differs(b, "nothing: the procedure has no on_resume", at)
		}
		if err := d.resume(*i); err != nil {
			return err
		}
	}
}

// lastOf is the last on_resume at a place. Where several without steps follow
// each other, the run was taken up again right after each, and only the last
// counts.
func (d *door) lastOf(b journal.Block) int {
	last := b.Number
	for n := last + 1; ; n++ {
		next, ok := d.journal.Block(n)
		if !ok || next.Next != b.Next {
			return last
		}
		if i := d.interludeOf(next); i != nil && i.Kind == onResume {
			last = n
		}
	}
}

// resume calls on_resume, from the journal or live.
func (d *door) resume(i interlude) error {
	d.asides++
	defer func() { d.asides-- }()
	return d.play(i, func(block int) error {
		return d.onResume(script.Pause{Seconds: i.Seconds, Reason: i.Reason}, fmt.Sprintf("%s %d", onResume, block))
	})
}

// play encloses an interlude. An error in it ends the run: no pcall around the
// step that it came before may catch it.
func (d *door) play(i interlude, call func(block int) error) error {
	n := d.push()
	if _, recorded := d.journal.Block(n); !recorded && d.bench != nil {
		data, err := json.Marshal(i)
		if err != nil {
			return d.fail(err)
		}
		if err := d.write(journal.Record{Kind: journal.KindOpen, Block: n, Name: i.name(), Unbroken: true, Data: data, T: d.Now()}); err != nil {
			return err
		}
	}
	if err := call(n); err != nil {
		return d.fail(err)
	}
	return d.Close(n, false)
}

func (i interlude) name() string {
	if i.Of == "" {
		return i.Kind
	}
	return i.Kind + " of " + i.Of
}

// enter makes a stretch that must not be interrupted ready to begin: the run
// goes live before it, and where it was interrupted before, what the script
// wants done before it starts over is done.
func (d *door) enter(ctx context.Context, s script.Stretch) error {
	for {
		if err := d.resumedBefore(s.At); err != nil {
			return err
		}
		b, i := d.recordedInterlude()
		if i == nil {
			break
		}
		if i.Of != s.Name || s.BeforeRestart == nil {
			return d.differs(b, stretchText(s.Name, true, d.next)+" without before_restart", s.At)
		}
		if err := d.play(*i, s.BeforeRestart); err != nil {
			return err
		}
	}
	if _, recorded := d.journal.Block(d.opened + 1); recorded || d.bench == nil || d.next <= d.journal.Steps() {
		return nil
	}
	if err := d.goLive(ctx); err != nil {
		return err
	}
	if s.BeforeRestart == nil || !d.cutOff[s.Name] {
		return nil
	}
	delete(d.cutOff, s.Name)
	return d.play(interlude{Kind: beforeRestart, Of: s.Name}, s.BeforeRestart)
}

// cutOff names the unbroken stretches that were set aside when they were last
// entered, after a contact with the world: what they did to the unit is still
// in it.
func cutOff(j *journal.Journal) map[string]bool {
	names := map[string]bool{}
	if !hasVoid(j) {
		return names
	}
	open := map[string]int{} // record of the void that took the last open of a name
	for n, r := range j.All() {
		switch {
		case r.Kind == journal.KindOpen && r.Unbroken:
			names[r.Name] = false
			if open[r.Name] = j.VoidedBy(n); open[r.Name] == 0 {
				delete(open, r.Name)
			}
		case r.Kind == journal.KindAsk:
			for name, void := range open {
				names[name] = names[name] || n < void
			}
		}
	}
	return names
}

func hasVoid(j *journal.Journal) bool {
	for _, r := range j.Outside() {
		if r.Kind == journal.KindVoid {
			return true
		}
	}
	return false
}

// setAside sets aside what was asked for and what cannot be taken up in its
// middle: the outermost unbroken stretch that is open, and an on_resume after which nothing was kept.
func (j *Job) setAside() error {
	if j.From > 0 {
		r := journal.Record{Kind: journal.KindVoid, From: outermost(j.Journal, j.From), Reason: j.Because}
		if err := j.Journal.Append(r); err != nil {
			return fmt.Errorf("the journal cannot be written: %w", err)
		}
		j.From = 0
	}
	for {
		from, reason := interrupted(j.Journal)
		if from == 0 {
			return nil
		}
		if err := j.Journal.Append(journal.Record{Kind: journal.KindVoid, From: from, Reason: reason}); err != nil {
			return fmt.Errorf("the journal cannot be written: %w", err)
		}
	}
}

// interrupted is the first step that must be set aside before the run goes on,
// 0 where there is none.
func interrupted(j *journal.Journal) (from int, reason string) {
	blocks := j.Blocks()
	for _, b := range blocks {
		if b.Unbroken && !b.Closed {
			return b.Next, fmt.Sprintf("%q must not be interrupted, and was", b.Name)
		}
	}
	for _, b := range blocks {
		if i := interludeOf(j, b); i != nil && i.Kind == onResume && b.Last >= b.Next && b.Last == j.Steps() {
			return b.Next, "the run was interrupted before anything was kept after on_resume"
		}
	}
	return 0, ""
}
