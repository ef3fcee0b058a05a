package builtins

import (
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
	dimmer = p.Pattern.Kind == bench.Window // of a pattern it depends on where the meter looks
	for i := range p.RGB {
		dimmer = dimmer && p.Background[i] <= p.RGB[i]
	}
	return p.Background != p.RGB, dimmer
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

// doubtOf is what stands against one of the reading's numbers.
func (r *Reading) doubtOf(x float64) doubt {
	for _, y := range []*float64{&r.Y, r.X, r.Z} {
		if y != nil && *y == x {
			return r.doubt
		}
	}
	return doubt{why: r.doubt.why}
}
