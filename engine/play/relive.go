package play

import (
	"context"
	"encoding/json"
	"fmt"

	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/script"
)

// relive takes in what a kept step left on the bench. A simulated world lives
// through it again.
func (d *door) relive(ctx context.Context, a script.Ask, s journal.Step) error {
	if err := d.reliveBetween(ctx, s.Number); err != nil {
		return err
	}
	ended := duration(s.T) + d.world.offset
	if a.Request != nil {
		request, err := a.Request()
		if err != nil && s.Failure == nil {
			return err
		}
		if reads := isReading(request); s.Failure != nil && !reads {
			d.world.skip(ended) // it left nothing
			return nil
		}
		request = d.world.bench.OwnRequest(request)
		if s.Failure == nil && d.asides == 0 { // else the world was so for a time, and it is not what the steps left
			d.world.left.Take(request)
		}
		kept := bench.Kept{Request: request, Samples: len(s.Samples), Failed: s.Failure != nil, Began: duration(s.Asked) + d.world.offset, Ended: ended}
		if err := d.world.relived(a.Name, a.Device, kept); err != nil {
			return fmt.Errorf("step %d cannot be repeated in the simulated world: %w", s.Number, err)
		}
	}
	d.world.skip(ended)
	return nil
}

// isReading says whether a request is for readings, which are taken also where one of them fails.
func isReading(request any) bool {
	_, is := request.(bench.ReadRequest)
	return is
}

func (d *door) reliveBetween(ctx context.Context, next int) error {
	resumed := false
	for _, r := range d.history.Outside(next) {
		switch r.Kind {
		case journal.KindResume:
			resumed = true
			d.world.stand(r.PauseSeconds)
			continue
		case journal.KindVoid:
			d.world.mend(history.StruckBy(r))
			continue
		}
		if err := d.reliveAside(r); err != nil {
			return err
		}
		resumed = resumed || r.Name == history.Restore // what it took is no script time
	}
	if resumed {
		d.world.offset = d.world.bench.Clock.Now() - d.now
	}
	return ctx.Err()
}

// reliveAside has a simulated device live through what was put back, or made
// safe, between the steps.
func (d *door) reliveAside(r journal.Record) error {
	if len(r.Args) == 0 || r.Failure != nil || r.Name != history.Restore && r.Name != history.SafeEnd {
		return nil
	}
	var was bench.Restored
	if err := json.Unmarshal(r.Args, &was); err != nil {
		return fmt.Errorf("what was put back cannot be read from the journal: %w", err)
	}
	for _, request := range was.Requests() {
		at := d.world.bench.Clock.Now()
		if err := d.world.relived(r.Device, r.Device, bench.Kept{Request: request, Began: at, Ended: at}); err != nil {
			return err
		}
	}
	return nil
}
