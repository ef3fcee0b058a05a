package uncertainty

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"
	"time"

	"candelua/engine/draw"
	"candelua/engine/result"
)

// working are executions of a script that works so much in each draw, and takes so long.
type working struct {
	work    func(number int) int64
	takes   func(ctx context.Context, number int)
	becomes func(number int) (failed, otherSteps bool)
	value   func(number int) float64 // nil: the number itself
	still   bool
}

func (w *working) Look(context.Context) (*draw.Sheet, error) {
	s := &draw.Sheet{}
	if !w.still {
		s.Enter(1, 0, "meter", []draw.XYZ{{Y: 1}}, draw.Taken{}, draw.Reading{Accuracy: draw.Accuracy{Scale: 1}})
	}
	return s, nil
}

// Shake tells nothing.
func (w *working) Shake(context.Context, draw.Unknown, int) (Once, error) { return Once{}, nil }

func (w *working) Once(ctx context.Context, number int) (Once, error) {
	if w.takes != nil {
		w.takes(ctx, number)
	}
	if err := context.Cause(ctx); err != nil {
		return Once{}, err
	}
	once := Once{Work: w.work(number)}
	if w.becomes != nil {
		var failed bool
		if failed, once.OtherSteps = w.becomes(number); failed || once.OtherSteps {
			return once, nil
		}
	}
	x := float64(number)
	if w.value != nil {
		x = w.value(number)
	}
	if once.Results = result.New(); !math.IsNaN(x) {
		once.Results = valued(x)
	}
	return once, nil
}

// valued are results with one value.
func valued(x float64) *result.Results {
	r := result.New()
	if _, err := r.Value(result.Value{Name: "A", Value: &x}); err != nil {
		panic(err)
	}
	return r
}

// TestWorkEndsDraws: draws end after the last one that leaves all so far within the limit of work, by
// the numbers of the draws. It is the same on any number of cores, in whatever order draws come to their end.
func TestWorkEndsDraws(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	const draws = 400
	for seed := range uint64(8) {
		rng := rand.New(rand.NewPCG(seed, 1))
		work, divergent, failed := make([]int64, draws), make([]bool, draws), make([]bool, draws)
		sum := int64(0)
		for i := range work {
			work[i] = rng.Int64N(1000)
			sum += work[i] + NumberWork
			divergent[i], failed[i] = rng.IntN(50) == 0, rng.IntN(50) == 0
		}
		most := rng.Int64N(sum + 100)
		want := result.Draws{}
		for n, left := 0, most; n < draws && work[n]+NumberWork <= left; n++ {
			left -= work[n] + NumberWork
			want.Count++
			if divergent[n] {
				want.Divergent++
			} else if failed[n] {
				want.Failed++
			}
		}
		if want.Count < leastDraws {
			want = result.Draws{}
		}
		for _, cores := range []int{1, 2, 7} {
			runtime.GOMAXPROCS(cores)
			base := valued(1)
			w := &working{work: func(n int) int64 { return work[n] },
				takes: func(_ context.Context, n int) {
					if work[n]%8 == 0 {
						time.Sleep(10 * time.Microsecond)
					}
				},
				becomes: func(n int) (bool, bool) { return failed[n], divergent[n] }}
			d, err := Draw(context.Background(), w, base, Plan{Draws: draws, Work: most}, nil)
			if err != nil {
				t.Fatal(err)
			}
			if err := d.Conclude(); err != nil {
				t.Fatal(err)
			}
			got := *base.Draws()
			if got.Count != want.Count || got.Divergent != want.Divergent || got.Failed != want.Failed {
				t.Fatalf("seed %d, %d cores: %+v, want %+v", seed, cores, got, want)
			}
			if cut := sum > most; cut != (got.Ended == result.EndedByWork) || cut != (got.Asked == draws) || cut != (got.Note != "") {
				t.Fatalf("seed %d: work %d of %d: %+v", seed, sum, most, got)
			}
			if drawn := base.Values()[0].Method != ""; drawn && got.Count == 0 {
				t.Fatalf("seed %d: uncertainties from no draw: %+v", seed, base.Values()[0])
			}
			if run, _ := d.Run("a"); len(run.Draws) != got.Count {
				t.Fatalf("seed %d: %d draws are kept of %d", seed, len(run.Draws), got.Count)
			}
		}
	}
}

// TestNumbersAreWork: each number of the results is work in each draw, in a table too, so that tables of
// many rows end draws as long scripts do.
func TestNumbersAreWork(t *testing.T) {
	for _, rows := range []int{0, 1, 50, 3000} {
		base := valued(1)
		table, err := base.Table("T", "", []result.Column{{Name: "n"}, {Name: "Y"}})
		if err != nil {
			t.Fatal(err)
		}
		for i := range rows {
			if err := table.Add(map[string]any{"n": float64(i), "Y": 1.0}); err != nil {
				t.Fatal(err)
			}
		}
		each := int64(1000 + NumberWork*(1+2*rows))
		d, err := Draw(context.Background(), &working{work: func(int) int64 { return 1000 }}, base, Plan{Draws: 200, Work: 150 * each}, nil)
		if err != nil || d.Count != 150 || d.Ended != result.EndedByWork {
			t.Errorf("%d rows: %+v, %v; want 150 draws", rows, d.Draws, err)
		}
	}
}

// TestTimeEndsDraws: what is stopped by the guard of time keeps what was made until then, and says so; a
// draw that never ends is stopped too.
func TestTimeEndsDraws(t *testing.T) {
	hangs := func(from int) *working {
		return &working{work: func(int) int64 { return 1 }, takes: func(ctx context.Context, n int) {
			if n >= from {
				<-ctx.Done()
			}
		}}
	}
	for _, from := range []int{0, 99, 100, 217} {
		base := valued(1)
		d, err := Draw(context.Background(), hangs(from), base, Plan{Draws: 500, Time: 300 * time.Millisecond}, nil)
		if err != nil || d.Conclude() != nil {
			t.Fatal(err)
		}
		got, want, note := *base.Draws(), from, "the uncertainties are from"
		if from < leastDraws {
			want, note = 0, "there are no uncertainties: only"
		}
		if got.Count != want || got.Asked != 500 || got.Ended != result.EndedByTime || !strings.HasPrefix(got.Note, note) || !strings.HasSuffix(got.Note, "replay RUN --draws 500") {
			t.Errorf("from %d on they hang: %+v", from, got)
		}
	}
}

// TestStoppedDraws gives the cause for which somebody stopped them.
func TestStoppedDraws(t *testing.T) {
	ctx, cancel := context.WithCancelCause(context.Background())
	cause := errors.New("stopped by somebody")
	w := &working{work: func(int) int64 { return 1 }, takes: func(_ context.Context, n int) {
		if n == 50 {
			cancel(cause)
		}
	}}
	if _, err := Draw(ctx, w, valued(1), Budgeted(500), nil); !errors.Is(err, cause) {
		t.Errorf("got %v", err)
	}
}

// TestNothingDrawn: no draw is made where no reading has an error, or no result is a number; the values
// are constant. By older rules draws are made all the same.
func TestNothingDrawn(t *testing.T) {
	words := result.New()
	if _, err := words.Value(result.Value{Name: "A", Text: "good"}); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name  string
		still bool
		base  *result.Results
		plan  Plan
		draws bool
	}{
		{"nothing is read", true, valued(3), Budgeted(200), false},
		{"no number", false, words, Budgeted(200), false},
		{"fixed", true, valued(3), Fixed(200), false},
		{"older rules", true, valued(3), Plan{Draws: 200, Always: true}, true},
		{"drawn", false, valued(3), Fixed(200), true},
	} {
		made := 0
		w := &working{work: func(int) int64 { return 1 }, still: c.still, takes: func(context.Context, int) { made++ }}
		before := runtime.GOMAXPROCS(1)
		d, err := Draw(context.Background(), w, c.base, c.plan, nil)
		runtime.GOMAXPROCS(before)
		if err != nil || d.Conclude() != nil {
			t.Fatal(err)
		}
		got := *c.base.Draws()
		if (made > 0) != c.draws || (got.Ended == result.NothingDrawn) == c.draws || (got.Note == "") != c.draws || c.draws && got.Count != 200 || !c.draws && (got.Count != 0 || got.Asked != 200) {
			t.Errorf("%s: %d draws, %+v", c.name, made, got)
		}
		if v := c.base.Values()[0]; !c.draws && v.Value != nil && (v.Method != string(draw.Constant) || *v.U != 0 || *v.Interval != [2]float64{3, 3}) {
			t.Errorf("%s: %+v", c.name, v)
		}
	}
}
