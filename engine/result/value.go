package result

import (
	"fmt"
	"slices"
	"strings"
)

// Value is one number, or one word, that a script concluded.
type Value struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	// Formerly are ids that the value had before it was given another name.
	Formerly []string `json:"formerly,omitempty"`
	// Value is nil where it was not evaluated, or where Text is the value.
	Value *float64 `json:"value"`
	Text  string   `json:"text,omitempty"` // a value that is words
	Unit  string   `json:"unit,omitempty"`
	// U is the standard uncertainty, in Unit; nil where it is not known.
	U *float64 `json:"u,omitempty"`
	// UAtLeast is what the standard uncertainty is at least where it is not known ([NotKnown]): what the errors make of
	// it of which somebody states how large they are. It is nil where these do not move the value.
	UAtLeast *float64 `json:"u_at_least,omitempty"`
	// Interval covers the value with 95 % probability, in Unit.
	Interval *[2]float64 `json:"interval,omitempty"`
	// Method is how the interval was read off the draws, and Rounded value and
	// uncertainty as they are to be written (JCGM 100, 7.2.6).
	Method  string `json:"method,omitempty"`
	Rounded string `json:"rounded,omitempty"`
	// Bias is by how much errors of the readings are estimated to have pushed the
	// value, as they push a mean of distances up; nil where they push none. The
	// interval allows for it, the value is as it was found.
	Bias *float64 `json:"bias,omitempty"`
	// Budget is what the uncertainty is made of, the largest part first.
	Budget    []Part     `json:"budget,omitempty"`
	Bound     Bound      `json:"bound,omitempty"`
	Tolerance *Tolerance `json:"tolerance,omitempty"`
	Finding   Finding    `json:"finding,omitempty"` // filled in by [Results.Value]
	// Why says why the value, its finding or its uncertainty was not
	// evaluated.
	Why string `json:"why,omitempty"`
	// Where is the script line that recorded it, file:line. It is a function
	// of the script, so it is kept in results.json; [Compare] ignores it.
	Where string `json:"where,omitempty"`
	// Doubt is what stands against readings that the value is computed from, where the script does not allow for it
	// by a bound. Open says against which readings something stands, where it is not known whether the value
	// is computed from them.
	Doubt string `json:"doubt,omitempty"`
	Open  string `json:"open,omitempty"`
	// Unsaid says that the script does not say which readings the value is from.
	Unsaid bool `json:"-"`

	basis string // for JSON, see based
}

// Counted says whether the value is one of few that are possible, such as a number of places: it has
// no digits beyond its own, and its interval ends at possible values.
func (v *Value) Counted() bool { return v.Method == methodCounted }

// AtLimit says that a value cannot be told from the limit of what is possible, so that its interval is
// an upper or a lower bound: it ends at exactly 0, or at 100 %. Draws end there only where that is a limit. What is
// counted has an interval like any other.
func (v *Value) AtLimit() Bound {
	switch i := v.Interval; {
	case i == nil || i[0] == i[1] || v.Counted():
		return ""
	case i[0] == 0:
		return Upper
	case i[1] == 0 || v.Unit == "%" && i[1] == 100:
		return Lower
	}
	return ""
}

// methodCounted is what package draw calls it.
const methodCounted = "counted"

// complete fills in the id and the finding.
func (v *Value) complete() {
	v.ID = idOr(v.ID, v.Name)
	v.Finding = ""
	if v.Tolerance == nil {
		return
	}
	v.Finding = NotEvaluated
	if v.Value == nil {
		return
	}
	finding, why := v.Tolerance.judge(*v.Value, v.Bound)
	v.Finding = finding
	if v.Why == "" {
		v.Why = why
	}
}

// check refuses what cannot stand in a report.
func (v *Value) check() error {
	if v.Value != nil && v.Text != "" {
		return fmt.Errorf("has both a number and a text; it must have one of them")
	}
	if v.Value != nil && !finite(*v.Value) {
		return fmt.Errorf("is %v; it must be a finite number; if there is none, leave out value and state why", *v.Value)
	}
	if v.U != nil && (!finite(*v.U) || *v.U < 0) {
		return fmt.Errorf("has the uncertainty %v; it must be a finite number not below 0", *v.U)
	}
	if v.UAtLeast != nil && (!finite(*v.UAtLeast) || *v.UAtLeast < 0 || v.Value == nil || v.Method != NotKnown) {
		return fmt.Errorf("has an uncertainty of at least %v; only a number whose uncertainty is not known has that, and it is a finite number not below 0", *v.UAtLeast)
	}
	if v.Bias != nil && !finite(*v.Bias) {
		return fmt.Errorf("has the bias %v; it must be a finite number", *v.Bias)
	}
	if i := v.Interval; i != nil && (!finite(i[0]) || !finite(i[1]) || i[0] > i[1]) {
		return fmt.Errorf("has the interval %v; it must be two finite numbers, the lower first", *i)
	}
	if !slices.Contains([]Bound{"", Upper, Lower}, v.Bound) {
		return fmt.Errorf("has the bound %q; it must be %q, %q or none", v.Bound, Upper, Lower)
	}
	for _, p := range v.Budget {
		if !finite(p.U) || p.U < 0 || !(p.Share >= 0 && p.Share <= 1) {
			return fmt.Errorf("has the part %+v in its budget; it must be finite numbers not below 0, and a share up to 1", p)
		}
	}
	if v.Value == nil && (v.U != nil || v.Interval != nil || v.Bound != "") {
		return fmt.Errorf("has an uncertainty, an interval or a bound but no number; it must have a number too")
	}
	if err := v.checkFinding(); err != nil {
		return err
	}
	return checkTexts(v.Text, v.Unit, v.Why, v.Where, v.Doubt, v.Open)
}

// checkFinding refuses a finding without a tolerance, and the reverse.
func (v *Value) checkFinding() error {
	if v.Tolerance == nil {
		if v.Finding != "" {
			return fmt.Errorf("has the finding %q but no tolerance", v.Finding)
		}
		return nil
	}
	if v.Text != "" {
		return fmt.Errorf("is a text with a tolerance; only a number can have a tolerance")
	}
	if !slices.Contains([]Finding{Pass, Fail, NotEvaluated}, v.Finding) {
		return fmt.Errorf("has the finding %q; it must be %q, %q or %q", v.Finding, Pass, Fail, NotEvaluated)
	}
	return v.Tolerance.check()
}

// clone copies the value and all that it points to, with its texts tidied.
func (v Value) clone() *Value {
	v.Value, v.U, v.UAtLeast, v.Interval, v.Bias = copied(v.Value), copied(v.U), copied(v.UAtLeast), copied(v.Interval), copied(v.Bias)
	if v.Tolerance != nil {
		v.Tolerance = &Tolerance{Min: copied(v.Tolerance.Min), Max: copied(v.Tolerance.Max)}
	}
	v.Budget, v.Formerly = slices.Clone(v.Budget), slices.Clone(v.Formerly)
	for _, s := range []*string{&v.Name, &v.Text, &v.Unit, &v.Why, &v.Where, &v.Doubt, &v.Open} {
		*s = tidy(*s)
	}
	return &v
}

func copied[T any](p *T) *T {
	if p == nil {
		return nil
	}
	c := *p
	return &c
}

func checkTexts(texts ...string) error {
	for _, s := range texts {
		if len(s) > maxText {
			return fmt.Errorf("has a text of %d bytes; it must have at most %d", len(s), maxText)
		}
	}
	return nil
}

// checkName refuses a name or an id that will not do.
func checkName(id, name string) error {
	if strings.TrimSpace(name) == "" || len(name) > maxName {
		return fmt.Errorf("name is %q; it must be 1 to %d bytes", cut(name), maxName)
	}
	if id == "" {
		return fmt.Errorf("name %q has no letter or digit to make an id from; give an id", name)
	}
	if ID(id) != id {
		return fmt.Errorf("id is %q; it must consist of small letters, digits and single hyphens, at most %d bytes, such as %q", cut(id), maxID, ID(id))
	}
	return nil
}

// cut shortens what is quoted in a message.
func cut(s string) string {
	if len(s) <= 60 {
		return s
	}
	return tidy(s[:60]) + "…"
}
