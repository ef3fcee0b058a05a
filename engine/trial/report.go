package trial

import (
	"fmt"
	"math"

	"candelua/engine/result"
)

// Report is the outcome of a trial.
type Report struct {
	Trial     string         `json:"trial"`
	Title     string         `json:"title,omitempty"`
	Procedure string         `json:"procedure"`
	Finding   result.Finding `json:"finding"` // pass or fail
	Seeds     int            `json:"seeds"`
	Pass      float64        `json:"pass"` // the share of the seeds that must pass
	Worlds    []WorldReport  `json:"worlds"`
	Notes     []string       `json:"notes,omitempty"`
}

// WorldReport is the outcome of a trial in one world.
type WorldReport struct {
	World   string         `json:"world"`
	Finding result.Finding `json:"finding"`
	Passed  int            `json:"passed"` // seeds
	// Failed counts the seeds whose run ended otherwise than the trial says:
	// with an error, or without the error that it expects. Error is what the
	// first of them, ErrorSeed, said.
	Failed    int     `json:"failed"`
	Error     string  `json:"error,omitempty"`
	ErrorSeed uint64  `json:"error_seed,omitempty"`
	Checks    []Check `json:"checks"`
}

// Check is the outcome of an expectation over the seeds of one world. Errors are
// value less truth, in Unit.
type Check struct {
	ID           string   `json:"id"`
	Truth        float64  `json:"truth"`
	Within       float64  `json:"within"`
	Unit         string   `json:"unit"`                   // "%" of the truth, or the value's own
	Bound        string   `json:"bound,omitempty"`        // the kind of bound that may pass
	BoundWithin  *float64 `json:"bound_within,omitempty"` // how far from the truth it may lie
	Runs         int      `json:"runs"`                   // seeds whose run ended well; the sum of the next four
	Passed       int      `json:"passed"`                 // numbers, and bounds that are near enough
	Wrong        int      `json:"wrong"`                  // evaluated and outside, unnoticed
	NotEvaluated int      `json:"not_evaluated"`
	Missing      int      `json:"missing"`
	// Bounds counts the values that are only a bound, but one that holds; those
	// near enough are among Passed, the others among NotEvaluated. Farthest is the
	// distance of the loosest from the truth; null without any.
	Bounds    int      `json:"bounds"`
	Farthest  *float64 `json:"farthest_bound"`
	Bias      *float64 `json:"bias"`      // mean error of the numbers; null without any
	Scatter   *float64 `json:"scatter"`   // standard deviation of the errors; null with fewer than two
	Worst     *float64 `json:"worst"`     // the error of the greatest size
	Intervals int      `json:"intervals"` // values that had a 95 % interval
	Covered   int      `json:"covered"`   // of them, those that held the truth
	// U is the root mean square of the standard uncertainties, to be held against
	// Scatter; Methods counts by which method the intervals were had.
	U         *float64       `json:"u,omitempty"`
	Methods   map[string]int `json:"methods,omitempty"`
	Covers    float64        `json:"covers,omitempty"`    // the share of the numbers that must have such
	Uncovered string         `json:"uncovered,omitempty"` // where fewer have: what is short of what
	Why       string         `json:"why,omitempty"`
}

// summarise makes a world's report of its runs, in the order of the seeds.
func (o *Outcome) summarise(w knownWorld, runs []runResult) WorldReport {
	rep := WorldReport{World: w.Name, Finding: result.Fail, Checks: make([]Check, len(o.Expect))}
	for i, r := range runs {
		if says := o.endsWrong(r); says != "" {
			if rep.Failed++; rep.Failed == 1 {
				rep.Error, rep.ErrorSeed = says, uint64(i+1)
			}
			continue
		}
		ok := true
		for k, j := range r.Values {
			ok = ok && o.Expect[k].ok(j)
		}
		if ok {
			rep.Passed++
		}
	}
	for k := range o.Expect {
		rep.Checks[k] = o.Expect[k].check(w.Truths[k], column(runs, k))
	}
	if float64(rep.Passed) >= o.Pass*float64(len(runs))-1e-9 {
		rep.Finding = result.Pass
	}
	for _, c := range rep.Checks {
		if c.Uncovered != "" {
			rep.Finding = result.Fail
		}
	}
	return rep
}

// column gives what the runs that ended well made of one expectation.
func column(runs []runResult, k int) []judged {
	var all []judged
	for _, r := range runs {
		if r.Error == nil {
			all = append(all, r.Values[k])
		}
	}
	return all
}

// check counts and averages.
func (e *Expectation) check(truth float64, values []judged) Check {
	c := Check{ID: e.ID, Truth: truth, Within: e.Within, Unit: e.Unit, Bound: string(e.Bound), Runs: len(values)}
	if e.Bound != "" {
		c.BoundWithin = &e.BoundWithin
	}
	var errs []float64
	squares, known := 0.0, 0.0
	for _, j := range values {
		switch j.Verdict {
		case passed:
			c.Passed++
		case wrong:
			c.Wrong++
		case none:
			c.NotEvaluated++
		case missing:
			c.Missing++
		}
		if c.Why == "" {
			c.Why = j.Why
		}
		if j.Bound != nil {
			c.Bounds++
			if c.Farthest == nil || *j.Bound > *c.Farthest {
				c.Farthest = j.Bound
			}
		}
		if j.Err != nil {
			errs = append(errs, *j.Err)
		}
		if j.U != nil {
			squares, known = squares+*j.U**j.U, known+1
		}
		if j.Covered != nil {
			c.Intervals++
			if *j.Covered {
				c.Covered++
			}
			if c.Methods == nil {
				c.Methods = map[string]int{}
			}
			c.Methods[j.Method]++
		}
	}
	c.spread(errs)
	if known > 0 {
		c.U = ifFinite(math.Sqrt(squares / known))
	}
	c.Covers, c.Uncovered = e.Covers, e.uncovered(c.Covered, len(errs))
	return c
}

// uncovered says in what the intervals of so many numbers fall short of the
// expectation, "" where they do not. A number without an interval has none that
// holds the truth.
func (e *Expectation) uncovered(covered, numbers int) string {
	switch {
	case e.Covers == 0 || numbers > 0 && float64(covered) >= e.Covers*float64(numbers)-1e-9:
		return ""
	case numbers == 0:
		return "no run gave a number, so no interval could hold the truth"
	}
	return fmt.Sprintf("the 95 %% interval holds the truth in %d of %d runs; at least %d are needed (covers = %v)",
		covered, numbers, int(math.Ceil(e.Covers*float64(numbers)-1e-9)), e.Covers)
}

// spread fills in bias, scatter and worst from finite errors.
func (c *Check) spread(errs []float64) {
	n := float64(len(errs))
	if n == 0 {
		return
	}
	var sum, squares, worst float64
	for _, x := range errs {
		sum += x
		if math.Abs(x) > math.Abs(worst) {
			worst = x
		}
	}
	bias := sum / n
	c.Bias, c.Worst = ifFinite(bias), &worst
	if n < 2 || c.Bias == nil {
		return
	}
	for _, x := range errs {
		squares += (x - bias) * (x - bias)
	}
	c.Scatter = ifFinite(math.Sqrt(squares / (n - 1)))
}

// ifFinite leaves out what errors beyond all measure add to: no report could
// hold it.
func ifFinite(x float64) *float64 {
	if !finite(x) {
		return nil
	}
	return &x
}
