package report

import (
	"fmt"
	"strings"

	"candelua/engine/plain"
	"candelua/engine/result"
)

// budgetText says what a value's uncertainty is made of, the largest part first, and
// how far errors pushed the value itself.
func budgetText(v *result.Value, draws *result.Draws) string {
	if v.U == nil || *v.U == 0 || draws == nil {
		return ""
	}
	if draws.BudgetWhy != "" {
		return "what u is made of is not evaluated: " + draws.BudgetWhy
	}
	if len(v.Budget) == 0 { // a limit's is its reading's scatter, and was not drawn
		return ""
	}
	parts := make([]string, len(v.Budget))
	for i, part := range v.Budget {
		parts[i] = fmt.Sprintf("%s %s (%.0f %%)", part.Of, display(part.U, 2), 100*part.Share)
	}
	parts[0] = strings.TrimSuffix(parts[0], ")") + " of u²)"
	text := "u is made of " + strings.Join(parts, ", ")
	if v.Bias != nil {
		text += fmt.Sprintf("; random errors may have shifted the value by %s, and the interval is wider to allow for that", display(*v.Bias, 2))
	}
	return text
}

// draws says how many draws the uncertainties are from, how many of them gave
// no value, and which scatter is left out. It writes this with the budget, and
// otherwise only if there is something to say beside the number of draws.
func (p *printer) draws(d *result.Draws) {
	if d == nil || !p.Budget && d.Divergent == 0 && d.Failed == 0 && d.NoScatter == 0 && d.FarScatter == 0 && !d.RepeatabilityOnly() && (d.Ended == "" || d.Ended == result.NothingDrawn) {
		return
	}
	p.part()
	text := fmt.Sprintf("uncertainties: from %d draws", d.Count)
	if d.Note != "" {
		text = "uncertainties: " + plain.Line(d.Note)
	}
	if d.Divergent > 0 {
		text += fmt.Sprintf("; in %d the script took other steps", d.Divergent)
	}
	if d.Failed > 0 {
		text += fmt.Sprintf("; in %d the script ended in an error", d.Failed)
	}
	if d.NoScatter > 0 {
		text += fmt.Sprintf("; the scatter of %s is not known and is left out, so these uncertainties are too small: state in "+
			"the bench file how single readings scatter ([meter.accuracy], repeatability in %%, or noise at some levels), or, on a meter that is not read by hand, give "+
			"repeats = 2 or more to meter.read in the script", readings(d.NoScatter))
	}
	if d.FarScatter > 0 {
		text += fmt.Sprintf("; how %s would scatter is concluded from other luminances, on the safe side, so these uncertainties may be far too large: "+
			"take each of them twice or more, or state the meter's noise at some levels in the bench file ([meter.accuracy], noise)", readings(d.FarScatter))
	}
	for _, l := range wrap(text, p.Width) {
		p.line(l)
	}
	if d.RepeatabilityOnly() {
		for _, l := range wrap(unstatedText(d.Unstated), p.Width) {
			p.line(l)
		}
	}
}

// unstatedText says what the uncertainties leave out, and what to do about it.
func unstatedText(meters string) string {
	return "uncertainties: repeatability only, because the accuracy of the " + plain.Line(meters) + " is not stated. It may be off by much more than they say, alike in " +
		"all readings. State what its certificate says in the bench file: [meter.accuracy], scale in % and xy"
}

func readings(n int) string {
	if n == 1 {
		return "1 reading"
	}
	return fmt.Sprintf("%d readings", n)
}
