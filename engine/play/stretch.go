package play

import (
	"context"
	"fmt"

	"candelua/engine/journal"
	"candelua/engine/script"
)

// Open begins a named stretch of the run. One that must not be interrupted
// goes live where the journal is used up, so that what on_resume does stays
// outside it, and starts over where it was interrupted.
func (d *door) Open(ctx context.Context, s script.Stretch) (int, error) {
	d.script.Charge(stillStep)
	if err := context.Cause(ctx); err != nil {
		return 0, err
	}
	err := d.resumedBefore(s.At)
	if err == nil && s.Unbroken {
		err = d.enter(ctx, s)
	}
	if err != nil {
		return 0, err
	}
	d.opened++
	n := d.opened
	d.within = append(d.within, s.Name)
	d.tell(Part{Name: s.Name, Begins: true, Step: d.next, Now: d.Now()})
	if b, ok := d.history.Journal.Block(n); ok {
		return n, d.matchBlock(b, s)
	}
	if d.world == nil {
		return n, nil
	}
	return n, d.write(journal.Record{Kind: journal.KindOpen, Block: n, Name: s.Name, Unbroken: s.Unbroken, At: s.At, T: d.Now()})
}

// matchBlock refuses a stretch that is not the recorded one.
func (d *door) matchBlock(b journal.Block, s script.Stretch) error {
	if b.Name == s.Name && b.Unbroken == s.Unbroken && b.Next == d.next && d.history.Interlude(b) == nil {
		return nil
	}
	return d.differs(b, stretchText(s.Name, s.Unbroken, d.next), s.At)
}

func (d *door) differs(b journal.Block, asked, at string) error {
	recorded := stretchText(b.Name, b.Unbroken, b.Next)
	if i := d.history.Interlude(b); i != nil {
		recorded = i.Kind
	}
	return d.fail(&DivergenceError{Step: d.next, At: at, RecordedAt: d.history.Journal.Record(b.Record).At, Recorded: recorded, Asked: asked,
		LastAgreed: d.agreed.String(), Record: b.Record})
}

func stretchText(name string, unbroken bool, next int) string {
	if unbroken {
		return fmt.Sprintf("run.unbroken(%q) before step %d", name, next)
	}
	return fmt.Sprintf("run.part(%q) before step %d", name, next)
}

// Close ends the innermost stretch.
func (d *door) Close(block int, failed bool) error {
	if last := len(d.within) - 1; last >= 0 {
		d.tell(Part{Name: d.within[last], Step: d.next, Now: d.Now()})
		d.within = d.within[:last]
	}
	if b, ok := d.history.Journal.Block(block); d.world == nil || ok && b.Closed {
		return nil
	}
	r := journal.Record{Kind: journal.KindClose, Block: block, T: d.Now()}
	if failed {
		r.Failure = &journal.Failure{Code: "error", Message: "left by an error"}
	}
	return d.write(r)
}

// write keeps what a script says of its stretches. Before the run has gone
// live it is held back: the journal takes nothing until the run is resumed, and
// an error while it is being answered from the journal closes no stretch that
// was merely interrupted.
func (d *door) write(r journal.Record) error {
	if d.state != live {
		d.held = append(d.held, r)
		return nil
	}
	return d.append(r)
}

// release writes what was held back.
func (d *door) release() error {
	for _, r := range d.held {
		if err := d.append(r); err != nil {
			return err
		}
	}
	d.held = nil
	return nil
}
