package trial

import (
	"fmt"
	"math"

	"candelua/engine/result"
)

// verdict is how one value of one run stands against its expectation.
type verdict int

const (
	passed  verdict = iota
	wrong           // evaluated, and outside: a wrong number that nobody would notice
	none            // not evaluated, or only a limit where a number is expected
	missing         // the run recorded no such value
)

// judged is one value of one run against the truth.
type judged struct {
	verdict verdict
	err     *float64 // value less truth, in the expectation's unit; nil where there is no number
	covered *bool    // whether the value's interval holds the truth; nil without one
	why     string   // where the number alone does not tell
}

// ok says whether the value lets its seed pass.
func (e *Expectation) ok(j judged) bool {
	return j.verdict == passed || e.OrNone && j.verdict == none
}

// judge holds a run's value against the truth.
func (e *Expectation) judge(r *result.Results, truth float64) judged {
	v, ok := r.ValueByID(e.ID)
	switch {
	case !ok:
		return judged{verdict: missing}
	case v.Text != "":
		return judged{verdict: wrong, why: fmt.Sprintf("it is the text %q, not a number", v.Text)}
	case v.Value == nil:
		return judged{verdict: none, why: v.Why}
	case e.Unit != "" && !e.relative() && v.Unit != e.Unit:
		return judged{verdict: wrong, why: fmt.Sprintf("its unit is %q, want %q", v.Unit, e.Unit)}
	case v.Bound != "":
		return e.judgeBound(v, truth)
	}
	off := *v.Value - truth
	if e.relative() {
		off *= 100 / truth
	}
	j := judged{verdict: wrong, err: &off}
	if math.Abs(off) <= e.Within || result.Same(math.Abs(off), e.Within) {
		j.verdict = passed
	}
	if i := v.Interval; i != nil {
		covered := i[0] <= truth && truth <= i[1]
		j.covered = &covered
	}
	return j
}

// judgeBound holds a value that is a limit against the truth. One that does
// not hold is wrong, whether a limit was expected or not.
func (e *Expectation) judgeBound(v *result.Value, truth float64) judged {
	holds := truth <= *v.Value || result.Same(truth, *v.Value)
	if v.Bound == result.Lower {
		holds = truth >= *v.Value || result.Same(truth, *v.Value)
	}
	switch {
	case !holds:
		return judged{verdict: wrong, why: fmt.Sprintf("the %s bound %s does not hold", v.Bound, result.Number(*v.Value))}
	case v.Bound != e.Bound:
		return judged{verdict: none, why: fmt.Sprintf("it is only a limit (%s)", v.Bound)}
	}
	return judged{verdict: passed}
}
