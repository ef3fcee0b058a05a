package builtins

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/result"
	"candelua/engine/script"
)

// The origin of a value is the reading that the script hands over (value = r), or the readings that it states
// (from = ...). It is never found by comparing numbers. What a number without a stated origin is computed from is
// found after the run, by a probe, if something stands against a reading ([uncertainty.Doubt]).

// origin is which readings a value or a row is from.
type origin struct {
	stated   bool
	readings []*Reading
	// one is the reading whose number the value is, where the script hands it over, or states it alone.
	one *Reading
}

// wantOrigin is what from may be.
const wantOrigin = "a reading, a list of readings or of rows with readings in them, or a table from record.table"

// originOf reads from.
func originOf(from any) (o origin, err error) {
	if from == nil {
		return o, nil
	}
	o.stated = true
	_, err = o.take("from", from)
	return o, err
}

// take adds the readings in what a script hands over, and says whether there are any. Of a row, what is no reading is
// left out; a list has nothing else.
func (o *origin) take(arg string, x any) (found bool, err error) {
	none := &fault.ArgError{Arg: arg, Got: declare.Show(x), Want: wantOrigin}
	switch x := x.(type) {
	case *Reading:
		o.readings = append(o.readings, x)
		return true, nil
	case *Table:
		if len(x.readings) == 0 && x.t.Len() > 0 {
			none.Got, none.Tip = "a table without readings", "add readings to its rows, as in t:add { luminance = r }, or state them, as in t:add { ratio = r.Y / s.Y, from = { r, s } }"
			return false, none
		}
		o.readings = append(o.readings, x.readings...)
		return true, nil
	case []any:
		for i, e := range x {
			if _, err := o.take(fmt.Sprintf("%s[%d]", arg, i+1), e); err != nil {
				return false, err
			}
		}
		return true, nil
	case []float64:
		_, err := o.take(arg+"[1]", x[0])
		return false, err
	case map[string]any:
		if len(x) == 0 {
			return true, nil // a list without readings
		}
		for _, name := range slices.Sorted(maps.Keys(x)) {
			switch x[name].(type) {
			case *Reading, *Table, []any, map[string]any:
				if in, err := o.take(arg+"."+name, x[name]); err == nil {
					found = found || in
				}
			}
		}
		if !found {
			none.Got = "a row without a reading"
			return false, none
		}
		return true, nil
	}
	return false, none
}

// origin is the origin of a value: the reading that it is, the one that it is taken from, or those that are stated.
func (a *valueArgs) origin(c *script.Call) (origin, error) {
	o, err := originOf(a.From)
	if err != nil {
		return o, err
	}
	if r, is := a.Value.(*Reading); is {
		o.one = r
	}
	if a.Of != nil {
		o.one = a.Of
	}
	if x, isNumber := a.Value.(float64); isNumber && o.one == nil && len(o.readings) == 1 && c.Since(5) {
		if _, is := o.readings[0].uncertaintyOf(x); is {
			o.one, o.readings = o.readings[0], nil
		}
	}
	o.stated = o.stated || o.one != nil
	return o, nil
}

// mind holds a value against the readings that it is from. A number of a doubtful reading is the limit that it is,
// or not evaluated; so is all that is computed from one. A bound that the script states stands: it knows which way
// its formula goes. A text stays, with what stands against it.
func (o *origin) mind(c *script.Call, v *result.Value) {
	if v.Text != "" && c.Since(5) {
		v.Doubt = strings.Join(o.whys(), "; ")
	}
	if v.Value == nil || v.Bound != "" {
		return
	}
	if o.one != nil && o.one.Bound != nil && *v.Value == o.one.Y {
		if v.Value, v.U, v.Bound = o.one.Limit, nil, result.Bound(*o.one.Bound); v.Value == nil {
			v.Bound, v.Why = "", whyNoFloor
		}
		return
	}
	d := bitsOf(c).doubtOf(*v.Value)
	if o.one != nil {
		d = o.one.doubtOf(*v.Value)
	}
	for _, r := range o.readings {
		if why := r.unsound(); why != "" {
			d = doubt{why: why}
		}
	}
	switch {
	case d.bound != "":
		v.Bound, v.U = d.bound, nil
	case d.why != "":
		v.Value, v.U, v.Why = nil, nil, d.why
	}
}

// whys are what stands against the readings, each once.
func (o *origin) whys() (all []string) {
	for _, r := range append(slices.Clone(o.readings), o.one) {
		if r == nil {
			continue
		}
		if why := r.unsound(); why != "" && !slices.Contains(all, why) {
			all = append(all, why)
		}
	}
	return all
}

// unsound says why nothing is computed from the reading, "" where nothing stands against that.
func (r *Reading) unsound() string {
	switch {
	case r.doubt.why != "":
		return r.doubt.why
	case r.Bound != nil:
		return whyBelowFloor
	}
	return ""
}

// stand tells the results what stands against the reading.
func (r *Reading) stand(c *script.Call) {
	if !c.Since(5) {
		return
	}
	why, limit := r.unsound(), r.Limit
	if r.doubt.why != "" {
		limit = nil
	} else if limit == nil { // the meter's floor is not stated
		limit = new(2 * math.Abs(r.Y))
	}
	c.Results().Stand(r.step, why, limit)
}
