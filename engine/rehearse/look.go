package rehearse

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"candelua/engine/bench"
	"candelua/engine/caution"
	"candelua/engine/check"
	"candelua/engine/draw"
	"candelua/engine/fault"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/result"
	"candelua/engine/script"
	"candelua/engine/uncertainty"
)

// Looking says how closely a procedure is looked at by executing it.
type Looking struct {
	Wild  int // executions on readings that are moved by up to a factor of exp(0.3)
	Seeds int // executions with other noise, whose scatter is compared with the stated uncertainties; 0: none
}

// wildest is by how much the logarithm of a reading is moved at most: far beyond what any meter is off by.
const wildest = 0.3

// What is long for a bright picture, and what is bright (common practice, no source).
const (
	longStill = 120 // s
	brightest = 1.0 // SDR white
)

// Findings executes a procedure on the simulated bench, and finds what only that shows. file is what findings call it.
func Findings(ctx context.Context, file string, loaded *procedure.Loaded, params script.Params, t Target, how Looking) ([]check.Finding, error) {
	f := &finder{file: file, loaded: loaded}
	r, err := Run(ctx, loaded, params, t, 0)
	if err != nil && ctx.Err() == nil {
		f.add(check.Error, check.FailsWhenRun, "", fault.HintOf(err), "on the simulated bench it does not begin: %s", err)
		return check.Silenced(f.found, loaded.Procedure.Source), nil
	}
	if err != nil {
		return nil, err
	}
	f.failed(r)
	f.readBeforePatch(r)
	f.cautions(r)
	if r.Report.Done {
		if err := f.wild(ctx, r, how.Wild); err != nil {
			return nil, err
		}
		if how.Seeds > 0 {
			if err := f.scatter(ctx, params, t, how.Seeds); err != nil {
				return nil, err
			}
		}
	}
	return check.Silenced(f.found, loaded.Procedure.Source), nil
}

type finder struct {
	file   string
	loaded *procedure.Loaded
	found  []check.Finding
}

// add notes a finding at a line as the script names it, file.lua:12.
func (f *finder) add(level check.Level, name, at, suggest, format string, args ...any) {
	file, line := f.place(at)
	f.found = append(f.found, check.Finding{File: file, Line: line, Column: 1, Level: level, Name: name, Suggest: suggest, Text: fmt.Sprintf(format, args...)})
}

// place is the file and the line of a place in a script; the file's own path where it is the procedure's.
func (f *finder) place(at string) (string, int) {
	file, number, _ := strings.Cut(at, ":")
	line, err := strconv.Atoi(number)
	if err != nil || line < 1 {
		return f.file, 1
	}
	if file == f.loaded.Procedure.File {
		file = f.file
	}
	return file, line
}

// failed is an execution that does not come to its end.
func (f *finder) failed(r *Rehearsal) {
	s := r.Report.Surprise
	if s == nil {
		return
	}
	text := strings.TrimPrefix(s.Error, s.At+": ")
	if fault.CodeOf(s.Err) == bench.CodeFlashing {
		f.add(check.Error, check.FlashingNotStated, s.At, s.Hint, "%s", text)
		return
	}
	f.add(check.Error, check.FailsWhenRun, s.At, s.Hint, "after %.0f s, at step %d, it ends: %s", s.Seconds, s.Step, text)
}

// readBeforePatch is a reading of the unit before anything was shown on it.
func (f *finder) readBeforePatch(r *Rehearsal) {
	if _, shows := f.loaded.Contract.Needed["patches"]; !shows {
		return
	}
	for _, q := range r.Requests {
		switch of := q.Of.(type) {
		case bench.Patch, []bench.TimedPatch:
			return
		case bench.ReadRequest:
			f.add(check.Warning, check.ReadBeforePatch, q.At, "show a patch first, as in patches.show { grey = 1, window = 10 }", "the meter is read before any patch is shown")
			return
		default:
			_ = of
			if q.Device == string(bench.KindOperator) {
				return // who was asked may have put the meter elsewhere
			}
		}
	}
}

// cautions are long or very bright pictures of which the contract says nothing.
func (f *finder) cautions(r *Rehearsal) {
	if f.loaded.Contract.Caution != "" {
		return
	}
	const suggest = `write caution = "…" in the contract: it is shown, and must be confirmed, before anything lights up`
	light := r.Report.Light
	if light.Longest >= longStill {
		f.add(check.Hint, check.CautionLeftOut, "", suggest, "a bright picture stands still for %.0f s, and the contract has no caution", light.Longest)
	}
	for _, q := range r.Requests {
		if p, is := q.Of.(bench.Patch); is && caution.Brightness(p) > brightest {
			f.add(check.Hint, check.CautionLeftOut, q.At, suggest, "a picture is brighter than SDR white, and the contract has no caution")
			return
		}
	}
}

// wild executes again on readings that are moved far, and finds steps that then are others.
func (f *finder) wild(ctx context.Context, r *Rehearsal, draws int) error {
	many, err := r.Job.Many(false)
	if err != nil {
		return err
	}
	steps, err := readingsOf(r.Job)
	if err != nil || len(steps) == 0 {
		return err
	}
	lines := map[string]int{}
	for n := range draws {
		chance := rand.New(rand.NewPCG(uint64(n), 3))
		moves := map[int]draw.Move{}
		for _, step := range steps {
			moves[step] = draw.Move{Share: math.Exp(wildest*(2*chance.Float64()-1)) - 1}
		}
		why, err := many.Moved(ctx, moves)
		if err != nil {
			return err
		}
		if at, other := otherSteps(why); other {
			lines[at]++
		}
	}
	for _, at := range slices.Sorted(maps.Keys(lines)) {
		f.add(check.Warning, check.SteeredWhenRun, at, `decide it once: run.decide("NAME", …)`,
			"in %d of %d executions with readings that are off by up to 35 %%, other steps are taken from here on", lines[at], draws)
	}
	return nil
}

// otherSteps says whether an execution ended because it took other steps than the recorded ones, and where.
func otherSteps(why error) (at string, is bool) {
	var other *play.DivergenceError
	if errors.As(why, &other) {
		return other.At, true
	}
	var left *play.LeftOverError
	return "", errors.As(why, &left)
}

// readingsOf are the numbers of the steps that took readings.
func readingsOf(j *play.Job) (steps []int, err error) {
	for n := 1; n <= j.History.Journal.Steps(); n++ {
		s, err := j.History.Journal.Step(n)
		if err != nil {
			return nil, err
		}
		if len(s.Samples) > 0 {
			steps = append(steps, n)
		}
	}
	return steps, nil
}

// How the scatter over seeds is judged: the variance of 20 values is 2.0 times the true one in one of 200 cases (chi-squared with 19
// degrees of freedom, NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4).
const (
	tooMuch     = 2.0
	drawsOfSeed = 100
	seedsDrawn  = 5 // of which the uncertainties are computed
)

// scatter executes with other seeds, on meters without errors that are alike in all readings, and compares.
func (f *finder) scatter(ctx context.Context, params script.Params, t Target, seeds int) error {
	t.World.ExactMeters()
	values, stated := map[string][]float64{}, map[string][]float64{}
	first := map[string]*result.Value{}
	var order []string
	for seed := 1; seed <= seeds; seed++ {
		t.Seed = uint64(seed)
		r, err := Run(ctx, f.loaded, params, t, 0)
		if err != nil {
			return err
		}
		if !r.Report.Done {
			f.add(check.Error, check.FailsWhenRun, r.Report.Surprise.At, r.Report.Surprise.Hint, "with seed %d it ends: %s", seed, r.Report.Surprise.Error)
			return nil
		}
		if seed <= seedsDrawn {
			if err := uncertainties(ctx, r); err != nil {
				return err
			}
		}
		for _, v := range r.Outcome.Results.Values() {
			if v.Value == nil || v.Bound != "" {
				continue
			}
			if first[v.ID] == nil {
				order = append(order, v.ID)
				first[v.ID] = v
			}
			values[v.ID] = append(values[v.ID], *v.Value)
			if u, is := statedU(v); is {
				stated[v.ID] = append(stated[v.ID], u)
			}
		}
	}
	for _, id := range order {
		f.compare(first[id], values[id], stated[id])
	}
	return nil
}

func uncertainties(ctx context.Context, r *Rehearsal) error {
	many, err := r.Job.Many(false)
	if err != nil {
		return err
	}
	drawn, err := uncertainty.Draw(ctx, many, r.Outcome.Results, uncertainty.Budgeted(drawsOfSeed), nil)
	if err != nil {
		return err
	}
	return drawn.Conclude()
}

// statedU is the uncertainty that a value states, or what it is at least.
func statedU(v *result.Value) (float64, bool) {
	for _, u := range []*float64{v.U, v.UAtLeast} {
		if u != nil {
			return *u, true
		}
	}
	return 0, false
}

func (f *finder) compare(of *result.Value, values, stated []float64) {
	if len(values) < 5 || len(stated) == 0 {
		return
	}
	u := 0.0
	for _, x := range stated {
		u += x * x / float64(len(stated))
	}
	mean, v := 0.0, 0.0
	for _, x := range values {
		mean += x / float64(len(values))
	}
	for _, x := range values {
		v += (x - mean) * (x - mean) / float64(len(values)-1)
	}
	if v <= tooMuch*u+1e-12*mean*mean {
		return
	}
	f.add(check.Warning, check.ScatterOverU, of.Where, "look for a series that noise ends, or for a reading that is left out of from",
		"over %d seeds %s scatters by %.3g, and states an uncertainty of %.3g", len(values), of.Name, math.Sqrt(v), math.Sqrt(u))
}
