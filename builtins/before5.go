package builtins

import (
	"math"

	"candelua/engine/result"
	"candelua/engine/script"
)

// By the rules before 5 a value was taken for a reading's number if its bits were those of one: then it had that
// number's uncertainty, unit and doubt. Runs by those rules are replayed so. Since then the origin of a value is
// stated (origin.go), and a probe finds what is computed from doubtful readings (package uncertainty).

// sameBits holds the numbers that readings gave, by their bits.
type sameBits struct {
	traces map[trace]*float64
	doubts map[uint64]doubt
}

// trace tells a number that a reading gave by its exact value and unit.
type trace struct {
	bits uint64
	unit string
}

// bitsOf is nil since the rules 5.
func bitsOf(c *script.Call) *sameBits {
	if c.Since(5) {
		return nil
	}
	s := script.State[sameBits](c)
	if s.traces == nil {
		s.traces, s.doubts = map[trace]*float64{}, map[uint64]doubt{}
	}
	return s
}

// take keeps the numbers of a reading.
func (s *sameBits) take(r *Reading) {
	if s == nil {
		return
	}
	for _, t := range []struct {
		x, u *float64
		unit string
	}{{&r.Y, r.UY, "cd/m2"}, {r.X, r.UX, "cd/m2"}, {r.Z, r.UZ, "cd/m2"}, {r.Cx, r.Ucx, ""}, {r.Cy, r.Ucy, ""}, {r.U, r.Uu, ""}, {r.V, r.Uv, ""}} {
		s.remember(t.x, t.u, t.unit)
	}
	s.doubtNumbers(r)
}

// remember keeps the uncertainty of a number. A number that two readings gave is no longer one reading's and
// carries none.
func (s *sameBits) remember(x, u *float64, unit string) {
	if x == nil {
		return
	}
	key := trace{math.Float64bits(*x), unit}
	if _, twice := s.traces[key]; twice {
		u = nil
	}
	s.traces[key] = u
}

// doubtNumbers keeps what stands against a reading. A chromaticity is no limit of anything. A number that is zero
// may be anybody's.
func (s *sameBits) doubtNumbers(r *Reading) {
	if s == nil || r.doubt.why == "" {
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

// claim gives a value that is a number the uncertainty of the reading's number that it is. It fails where the
// unit is another.
func (s *sameBits) claim(v *result.Value) error {
	if s == nil || v.Value == nil {
		return nil
	}
	if is, other := s.otherUnit(*v.Value, v.Unit); other {
		return wrongUnit(v.Unit, is)
	}
	v.U = s.traces[trace{math.Float64bits(*v.Value), plainUnit(v.Unit)}]
	return nil
}

// otherUnit is the unit of a reading's number that is said to have another one.
// A number of few digits may be another's by chance and is let pass.
func (s *sameBits) otherUnit(x float64, unit string) (is string, other bool) {
	const fewDigits = 9
	if _, right := s.traces[trace{math.Float64bits(x), plainUnit(unit)}]; right || unit == "" || len(formatNumber(x)) < fewDigits {
		return "", false
	}
	for _, known := range []string{"cd/m2", ""} {
		if _, found := s.traces[trace{math.Float64bits(x), known}]; found {
			return known, true
		}
	}
	return "", false
}

// doubtOf is what stands against the reading whose number it is.
func (s *sameBits) doubtOf(x float64) doubt {
	if s == nil {
		return doubt{}
	}
	return s.doubts[math.Float64bits(x)]
}
