package play

import (
	"context"
	"encoding/json"
	"fmt"

	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/script"
)

// recordedInterlude is the interlude that the journal holds next, nil where
// there is none before the next step.
func (d *door) recordedInterlude() (journal.Block, *history.Interlude) {
	b, ok := d.history.Journal.Block(d.opened + 1)
	if !ok || b.Next != d.next {
		return b, nil
	}
	return b, d.history.Interlude(b)
}

// resumedBefore does again what on_resume did before this point of the script.
func (d *door) resumedBefore(at string) error {
	for {
		b, i := d.recordedInterlude()
		if i == nil || i.Kind != history.OnResume {
			return nil
		}
		if last := d.lastOf(b); last > b.Number {
			d.opened = last - 1
			continue
		}
		if d.world != nil && d.state != live && b.Closed && d.next > d.history.Journal.Steps() {
			d.opened = len(d.history.Journal.Blocks()) // the run goes live here, with an on_resume of its own
			return nil
		}
		if !d.script.HasOnResume() {
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
		next, ok := d.history.Journal.Block(n)
		if !ok || next.Next != b.Next {
			return last
		}
		if i := d.history.Interlude(next); i != nil && i.Kind == history.OnResume {
			last = n
		}
	}
}

// resume calls on_resume, from the journal or live.
func (d *door) resume(i history.Interlude) error {
	d.asides++
	defer func() { d.asides-- }()
	return d.play(i, func(block int) error {
		return d.script.OnResume(d.params, script.Pause{Seconds: i.Seconds, Reason: i.Reason}, fmt.Sprintf("%s %d", history.OnResume, block))
	})
}

// play encloses an interlude. An error in it ends the run: no pcall around the
// step that it came before may catch it.
func (d *door) play(i history.Interlude, call func(block int) error) error {
	d.opened++
	n := d.opened
	if _, recorded := d.history.Journal.Block(n); !recorded && d.world != nil {
		data, err := json.Marshal(i)
		if err != nil {
			return d.fail(err)
		}
		if err := d.write(journal.Record{Kind: journal.KindOpen, Block: n, Name: i.Name(), Unbroken: true, Data: data, T: d.Now()}); err != nil {
			return err
		}
	}
	if err := call(n); err != nil {
		return d.fail(err)
	}
	return d.Close(n, false)
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
	if _, recorded := d.history.Journal.Block(d.opened + 1); recorded || d.world == nil || d.next <= d.history.Journal.Steps() {
		return nil
	}
	if err := d.goLive(ctx); err != nil {
		return err
	}
	if s.BeforeRestart == nil || !d.history.CutOff(s.Name) {
		return nil
	}
	return d.play(history.Interlude{Kind: history.BeforeRestart, Of: s.Name}, s.BeforeRestart)
}
