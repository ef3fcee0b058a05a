package builtins

import (
	"context"
	"errors"
	"math"
	"time"

	"candelua/engine/bench"
	"candelua/engine/script"
)

// mostByHand is how often a person is asked to read a light again, before it is said that it does not become stable (common practice, no source).
const mostByHand = 20

// settleByHand has a person read again and again until two readings in a row, of which the second is asked for when the time has passed over which
// the drift is judged, agree within what is allowed. A reading that is withdrawn is kept in the journal and does not count.
func settleByHand(ctx context.Context, c *script.Call, a settleArgs, emit func(sample) error) (w settleAnswer, err error) {
	clock := c.Bench().Clock
	began, taken := clock.Now(), 0
	var got []sample
	var numbers []int // of the readings in got, among all that were taken
	for {
		q := bench.ReadRequest{Most: 1, At: a.At, Agree: a.Within}
		_, err := readSamples(ctx, c, q, emit, func(s sample) bool {
			got, numbers, taken = append(got, s), append(numbers, taken), taken+1
			return true
		})
		if errors.Is(err, bench.ErrStruck) && len(got) > 0 {
			w.Withdrawn = append(w.Withdrawn, numbers[len(numbers)-1])
			got, numbers = got[:len(got)-1], numbers[:len(numbers)-1]
			continue
		}
		if err != nil {
			return w, err
		}
		if drift, known := driftByHand(got); known && math.Abs(drift) <= a.Within {
			w.Settled = true
			return w, nil
		}
		if taken >= mostByHand || (clock.Now()-began).Seconds()+a.Over > a.Timeout {
			return w, nil
		}
		if err := clock.WaitUntil(ctx, clock.Now()+time.Duration(a.Over*1e9)); err != nil {
			return w, err
		}
	}
}

// driftByHand is by how much the last of the readings that a person took differs from the one before, in percent of that.
func driftByHand(got []sample) (percent float64, known bool) {
	if len(got) < 2 {
		return 0, false
	}
	last, before := got[len(got)-1].Y, got[len(got)-2].Y
	if before <= 0 {
		return 0, last <= 0
	}
	return 100 * (last/before - 1), true
}

// counting are the samples that were not withdrawn.
func (w *settleAnswer) counting(samples []sample) (kept []sample) {
	withdrawn := map[int]bool{}
	for _, n := range w.Withdrawn {
		withdrawn[n] = true
	}
	for i, s := range samples {
		if !withdrawn[i] {
			kept = append(kept, s)
		}
	}
	return kept
}
