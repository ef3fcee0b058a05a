package draw

// NumberAccuracy is how well a number is known that no meter's reading is, such as an
// illuminance or a number that a person typed: standard uncertainties, 0 where there is
// none.
type NumberAccuracy struct {
	Scale float64 // % of the number, alike in all numbers of one device
	Zero  float64 // in the number's unit, alike in all numbers of one device in a run
	Share float64 // % of the number, its own
	Own   float64 // in the number's unit, its own
	Half  float64 // in the number's unit, its own: the truth is surely no farther away
	Place float64 // unit of the last digit of a typed number
}

// NumberKeys are the keys of a number's errors; [Key] says what each is made of.
type NumberKeys struct{ Scale, Zero, Own Key }

// Number is a number that a device or a person gave, with what is known of its error.
type Number struct {
	Value float64
	NumberAccuracy
	Keys NumberKeys
}

// draw returns the number as it is in one draw,
//
//	x (1 + scale + share) + zero + own + half + digit
//
// with normal errors, but for the half-width and half a unit of the last digit, which
// are rectangular. Adding them draws the truth as well as subtracting them would, see
// Reading.draw.
//
// Source: [JCGM101], 6.4.2 (rectangular) and 6.4.7 (normal); the model is our own.
func (n *Number) draw(draw int) float64 {
	x := n.Value
	by := func(much float64, number func(int) float64) float64 {
		if much == 0 {
			return 0
		}
		return float64(much * number(draw))
	}
	own := n.Keys.Own
	share := by(n.Scale, n.Keys.Scale.normal) + by(n.Share, own.normal)
	return x + float64(x*(share/100)) + by(n.Zero, n.Keys.Zero.normal) + by(n.Own, own.part(1).normal) +
		by(n.Half, own.part(2).rectangular) + by(n.Place/2, own.part(3).rectangular)
}

// still says whether every draw leaves the number as it is.
func (n *Number) still() bool { return n.NumberAccuracy == NumberAccuracy{} }

// causes lists the shared causes of error that are not zero.
func (n *Number) causes() (all []Cause) {
	if n.Scale > 0 {
		all = append(all, Cause{NumberScale, n.Keys.Scale, 1})
	}
	if n.Zero > 0 {
		all = append(all, Cause{NumberZero, n.Keys.Zero, 1})
	}
	return all
}
