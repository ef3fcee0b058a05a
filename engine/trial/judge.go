package trial

import (
	"fmt"
	"math"
	"strings"

	"candelua/engine/result"
	"candelua/engine/spell"
)

// verdict is the outcome of comparing one value of one run with its expectation.
type verdict int

const (
	passed  verdict = iota
	wrong           // evaluated, and outside: a wrong number that nobody would notice
	none            // not evaluated, or only a bound that does not tell enough
	missing         // the run recorded no such value
)

// judged is one value of one run against the truth.
type judged struct {
	verdict verdict
	err     *float64 // value less truth, in the expectation's unit; nil where there is no number
	bound   *float64 // how far from the truth a bound lies that holds; nil where it is none
	covered *bool    // whether the value's interval holds the truth; nil without one
	u       *float64 // standard uncertainty, in the expectation's unit; nil without an interval
	method  string   // how the interval was had
	why     string   // where the number alone does not tell
}

// ok says whether the value lets its seed pass.
func (e *Expectation) ok(j judged) bool {
	return j.verdict == passed || e.OrNone && j.verdict == none
}

// judge compares a run's value with the truth.
func (e *Expectation) judge(r *result.Results, truth float64) judged {
	v, ok := r.ValueNow(e.ID)
	switch {
	case !ok:
		return judged{verdict: missing, why: e.whyMissing(r)}
	case v.Text != "":
		return judged{verdict: wrong, why: fmt.Sprintf("it is the text %q, not a number", v.Text)}
	case v.Value == nil:
		return judged{verdict: none, why: v.Why}
	case e.Unit != "" && !e.relative() && v.Unit != e.Unit:
		return judged{verdict: wrong, why: fmt.Sprintf("its unit is %q, and the trial expects %q; correct the one that is wrong", v.Unit, e.Unit)}
	case v.Bound != "":
		return e.judgeBound(v, truth)
	}
	off := e.distance(*v.Value, truth)
	if !finite(off) {
		return judged{verdict: wrong, why: fmt.Sprintf("it is %s, and its distance from the truth is too large for a number", result.Number(*v.Value))}
	}
	j := judged{verdict: wrong, err: &off}
	if math.Abs(off) <= e.Within || result.Same(math.Abs(off), e.Within) {
		j.verdict = passed
	}
	if i := v.Interval; i != nil {
		covered := i[0] <= truth && truth <= i[1]
		j.covered, j.method = &covered, v.Method
	}
	if v.U != nil && v.Interval != nil {
		u := *v.U
		if e.relative() {
			u *= math.Abs(100 / truth)
		}
		j.u = &u
	}
	return j
}

// distance gives value less truth, in the expectation's unit.
func (e *Expectation) distance(value, truth float64) float64 {
	if e.relative() {
		return (value - truth) * (100 / truth)
	}
	return value - truth
}

// whyMissing says what the run recorded in place of the value.
func (e *Expectation) whyMissing(r *result.Results) string {
	var ids []string
	for _, v := range r.Values() {
		ids = append(ids, v.ID)
	}
	has := "it recorded " + strings.Join(ids, ", ")
	if len(ids) == 0 {
		has = "it recorded none"
	}
	if near := spell.Nearest(e.ID, ids); near != "" {
		return fmt.Sprintf("the run recorded no value with this id; did you mean %s? (%s)", near, has)
	}
	return "the run recorded no value with this id; " + has
}

// judgeBound compares a value that is a bound with the truth. A bound that does
// not hold is wrong, whether a bound was expected or not. A bound that holds but
// lies far from the truth says too little, although it is true.
func (e *Expectation) judgeBound(v *result.Value, truth float64) judged {
	holds := truth <= *v.Value || result.Same(truth, *v.Value)
	if v.Bound == result.Lower {
		holds = truth >= *v.Value || result.Same(truth, *v.Value)
	}
	switch {
	case !holds:
		return judged{verdict: wrong, why: fmt.Sprintf("the %s bound %s does not hold", v.Bound, result.Number(*v.Value))}
	}
	far := math.Abs(e.distance(*v.Value, truth))
	if !finite(far) {
		return judged{verdict: none, why: fmt.Sprintf("the distance of the %s bound %s from the truth is too large for a number", v.Bound, result.Number(*v.Value))}
	}
	j := judged{verdict: passed, bound: &far}
	switch {
	case v.Bound != e.Bound:
		j.verdict, j.why = none, fmt.Sprintf("it is only a bound (%s), but the trial wants %s", v.Bound, e.wanted())
	case far > e.BoundWithin && !result.Same(far, e.BoundWithin):
		j.verdict, j.why = none, fmt.Sprintf("the %s bound %s holds, but lies farther from the truth than bound_within", v.Bound, result.Number(*v.Value))
	}
	return j
}

// wanted says what kinds of value may pass.
func (e *Expectation) wanted() string {
	if e.Bound == "" {
		return "a number"
	}
	return fmt.Sprintf("a number or a bound of the kind %s", e.Bound)
}
