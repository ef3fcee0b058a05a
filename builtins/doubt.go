package builtins

import (
	"math"

	"candelua/engine/bench"
	"candelua/engine/result"
	"candelua/engine/script"
)

// doubt is what stands against a reading: why its luminance is not what the
// patch gives. The zero doubt is none.
type doubt struct {
	why string
	// bound says that the number is a limit all the same.
	bound result.Bound
}

// Why a reading's luminance is not what the patch gives.
const (
	whySaturated   = "the meter was saturated"
	whyUnderfilled = "the window did not fill the meter's field of view"
	whyDrifting    = "the light still changed while it was read"
)

// judge finds what stands against the reading of a patch.
//
// A saturated meter gives less than there is. So does one that sees past the
// window where the background is nowhere brighter; where it is as bright, there
// is nothing to see past. What a changing light becomes is not known.
func (r *Reading) judge(p *bench.Patch) {
	var d doubt
	past, dimmer := pastWindow(r.Flags, p)
	if r.Flags.Saturated {
		d = doubt{whySaturated, result.Lower}
	} else if past {
		d = doubt{whyUnderfilled, result.Lower}
	}
	if past && !dimmer {
		d.bound = ""
	}
	if r.Flags.Drifting {
		d = doubt{why: whyDrifting}
	}
	if r.doubt = d; d.why != "" {
		r.Doubt = &d.why
	}
}

// pastWindow says whether the meter saw other light than the window's, and
// whether that was dimmer in every primary.
func pastWindow(f Flags, p *bench.Patch) (past, dimmer bool) {
	if !f.Underfilled || p == nil {
		return f.Underfilled, false
	}
	dimmer = true
	for i := range p.RGB {
		dimmer = dimmer && p.Background[i] <= p.RGB[i]
	}
	return p.Background != p.RGB, dimmer
}

// doubtNumbers keeps what stands against a reading, so that a value that is one
// of its numbers cannot pass for what the patch gives. A chromaticity is no
// limit of anything. A number that is zero may be anybody's.
func (s *scene) doubtNumbers(r *Reading) {
	if r.doubt.why == "" {
		return
	}
	for _, x := range []*float64{&r.Y, r.X, r.Z} {
		if x != nil && *x != 0 {
			s.doubts[math.Float64bits(*x)] = r.doubt
		}
	}
	for _, x := range []*float64{r.Cx, r.Cy, r.U, r.V} {
		if x != nil {
			s.doubts[math.Float64bits(*x)] = doubt{why: r.doubt.why}
		}
	}
}

// tell notes, once for each, that readings were saturated or underfilled: the
// one thing that can be done for a value whose script does not look. A drift is
// left to the script, which may read again, or be after it.
func (s *scene) tell(c *script.Call, r *Reading) error {
	d := r.doubt
	if d.why == "" || r.Flags.Drifting || s.told[d.why] {
		return nil
	}
	s.told[d.why] = true
	text := "In some readings " + d.why + ". A value that is computed from these readings is wrong, unless the script leaves them out or records the value as a limit."
	return c.Results().Note(result.Note{Text: text, Level: doubtLevel(c), Where: c.Where()})
}

// mind holds a value against the readings behind it: the reading that it is of,
// the one whose exact number it is, and those it is computed from. A number of a
// doubtful reading is the limit that it is, or not evaluated; so is all that is
// computed from one. A bound that the script states stands: it knows which way
// its formula goes.
func (s *scene) mind(v *result.Value, of *Reading, from []*Reading) {
	if v.Value == nil || v.Bound != "" {
		return
	}
	if of != nil && of.Bound != nil && *v.Value == of.Y {
		if v.Value, v.U, v.Bound = of.Limit, nil, result.Bound(*of.Bound); v.Value == nil {
			v.Bound, v.Why = "", whyNoFloor
		}
		return
	}
	d := s.doubts[math.Float64bits(*v.Value)]
	if of != nil {
		d = of.doubtOf(*v.Value)
	}
	for _, r := range from {
		switch {
		case r.doubt.why != "":
			d = doubt{why: r.doubt.why}
		case r.Bound != nil:
			d = doubt{why: whyBelowFloor}
		}
	}
	switch {
	case d.bound != "":
		v.Bound, v.U = d.bound, nil
	case d.why != "":
		v.Value, v.U, v.Why = nil, nil, d.why
	}
}

// doubtOf is what stands against one of the reading's numbers.
func (r *Reading) doubtOf(x float64) doubt {
	for _, y := range []*float64{&r.Y, r.X, r.Z} {
		if y != nil && *y == x {
			return r.doubt
		}
	}
	return doubt{why: r.doubt.why}
}
