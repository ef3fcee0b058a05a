package main

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// tallied is what all runs of a script came to for one of its values.
type tallied struct {
	script, id, unit string
	truth            stated
	runs             int // those that ended in an error included
	kinds            map[kind]int
	methods          map[string]int
	covered, judged  int // numbers: those that hold the truth, and all
	held, limits     int // limits: those that hold, and all that were judged
	same             int // words: those that are the exact run's
	remarked         int
	bias, need       float64 // of value less truth: mean, and the width of 95 % of a normal distribution that scatters alike; NaN for none
	width            float64 // median of the intervals
	why              string  // the first reason why there is no number or no uncertainty
}

// What is good: the share of intervals that hold the truth, in percent, and how wide they may be over what is needed.
const (
	leastCovered, mostCovered = 93, 99
	mostWidth                 = 1.4
	mostLeftOut               = 5 // percent of the runs that state neither an interval nor a limit
)

// tally counts what the runs of a script state of each value, by its id, in the order of the exact run.
func (s *surveyed) tally() (all []*tallied) {
	by := map[string]*tallied{}
	at := func(id string) *tallied {
		if by[id] == nil {
			by[id] = &tallied{script: s.script, id: id, runs: len(s.runs), truth: stated{ID: id, Why: "the exact run does not state it"}, kinds: map[kind]int{}, methods: map[string]int{}}
			all = append(all, by[id])
		}
		return by[id]
	}
	for _, v := range s.truth.Values {
		t := at(v.ID)
		t.truth, t.unit = v, v.Unit
	}
	values := map[string][]stated{}
	for _, r := range s.runs {
		for _, v := range r.Values {
			at(v.ID).take(&v)
			values[v.ID] = append(values[v.ID], v)
		}
	}
	for _, t := range all {
		t.kinds[withheld] += t.runs - len(values[t.id]) // what a run does not record, it does not state
		t.measure(values[t.id])
	}
	return all
}

// take counts what one run states.
func (t *tallied) take(v *stated) {
	k := v.kind()
	t.kinds[k]++
	t.unit = cmp.Or(t.unit, v.Unit)
	if v.Remarked {
		t.remarked++
	}
	if v.Method != "" {
		t.methods[v.Method]++
	}
	if k == unknown || k == withheld {
		t.why = cmp.Or(t.why, v.Why)
	}
	holds, judged := v.holds(&t.truth)
	if !judged {
		return
	}
	n, yes := &t.judged, &t.covered
	switch k {
	case bound:
		n, yes = &t.limits, &t.held
	case words:
		n, yes = new(int), &t.same
	}
	*n++
	if holds {
		*yes++
	}
}

// measure says how the numbers lie about the truth, and how wide their intervals are.
func (t *tallied) measure(values []stated) {
	t.bias, t.need, t.width = math.NaN(), math.NaN(), math.NaN()
	var offs, widths []float64
	for _, v := range values {
		if k := v.kind(); t.truth.Value != nil && (k == interval || k == constant || k == unknown) {
			offs = append(offs, v.off(*t.truth.Value))
		}
		if v.Interval != nil {
			widths = append(widths, v.Interval[1]-v.Interval[0])
		}
	}
	if len(offs) > 1 {
		mean, sd := stat.MeanStdDev(offs, nil)
		t.bias, t.need = mean, 2*1.96*sd
	}
	if len(widths) > 0 {
		slices.Sort(widths)
		t.width = stat.Quantile(0.5, stat.LinInterp, widths, nil)
	}
}

// share is the percentage of intervals that hold the truth, and its standard error.
func (t *tallied) share() (percent, se float64) {
	p := float64(t.covered) / float64(t.judged)
	return 100 * p, 100 * math.Sqrt(p*(1-p)/float64(t.judged))
}

// percent is n of the runs, in percent.
func (t *tallied) percent(n int) float64 { return 100 * float64(n) / float64(t.runs) }

// over is the intervals' width over what is needed.
func (t *tallied) over() float64 {
	if t.need == 0 {
		return math.NaN()
	}
	return t.width / t.need
}

// class says what is wrong with a value.
type class int

const (
	missed  class = iota // intervals or limits that do not hold the truth often enough
	perhaps              // the same, but so many runs may show it by chance
	wide                 // intervals that are wider than is needed
	leftOut              // runs that state nothing
	always               // intervals that hold the truth too often, although no wider than allowed
	good
	classes
)

var classNames = [classes]string{
	missed:  "The truth is missed: intervals hold it in less than 93 % of the runs, which is no chance; or limits and words are wrong in more than 7 %",
	perhaps: "Perhaps missed: less than 93 %, but if it were 93 %, so few would come by chance once in forty times or more often",
	wide:    "Too wide: more than 1.4 times what is needed",
	leftOut: "Left out: more than 5 % of the runs state neither an interval nor a limit",
	always:  "The truth is held in more than 99 %",
	good:    "As they should be",
}

func (t *tallied) class() class {
	covered, _ := t.share()
	wrong := t.limits - t.held
	if t.kinds[words] > 0 && t.truth.Text != "" {
		wrong += t.kinds[words] - t.same
	}
	switch {
	case covered < leastCovered && t.percent(t.judged) > mostLeftOut && chance(t.covered, t.judged) < 1./40, t.percent(wrong) > 100-leastCovered:
		return missed
	case covered < leastCovered && t.percent(t.judged) > mostLeftOut:
		return perhaps
	case t.over() > mostWidth:
		return wide
	case t.percent(t.kinds[unknown]+t.kinds[withheld]) > mostLeftOut:
		return leftOut
	case covered > mostCovered && t.kinds[interval] > 0:
		return always
	}
	return good
}

// chance is the probability that so few intervals hold the truth, or fewer, where each does with that of the least that is good.
func chance(covered, judged int) float64 {
	return distuv.Binomial{N: float64(judged), P: leastCovered / 100.}.CDF(float64(covered))
}

// worstFirst sorts by class, and in each by how bad it is.
func worstFirst(all []*tallied) {
	slices.SortStableFunc(all, func(a, b *tallied) int {
		if c := cmp.Compare(a.class(), b.class()); c != 0 {
			return c
		}
		ca, _ := a.share()
		cb, _ := b.share()
		switch a.class() {
		case missed, perhaps:
			return cmp.Compare(ca, cb) // NaN, of limits and words alone, first
		case wide:
			return cmp.Compare(b.over(), a.over())
		case leftOut:
			return cmp.Compare(b.kinds[unknown]+b.kinds[withheld], a.kinds[unknown]+a.kinds[withheld])
		}
		return cmp.Or(cmp.Compare(a.script, b.script), cmp.Compare(a.id, b.id))
	})
}
