package colour

import "math"

// ICtCp is a colour of BT.2100 in its PQ form: I is the intensity, 0 to 1 on the PQ
// scale, Ct and Cp are the blue-yellow and red-green differences, about -0.5 to 0.5.
type ICtCp struct{ I, Ct, Cp float64 }

// The matrices of BT.2100, whose elements are whole 4096ths.
var (
	rgbToLMS = matrixOver4096(1688, 2146, 262, 683, 2951, 462, 99, 309, 3688)
	lmsToITP = matrixOver4096(2048, 2048, 0, 6610, -13613, 7003, 17933, -17390, -543)

	lmsToRGB = mustInverse(rgbToLMS)
	itpToLMS = mustInverse(lmsToITP)
)

func matrixOver4096(e ...float64) (m Matrix) {
	for i, v := range e {
		m[i/3][i%3] = v / 4096
	}
	return m
}

func mustInverse(m Matrix) Matrix {
	inverse, err := m.Inverse()
	if err != nil {
		panic("colour: " + err.Error())
	}
	return inverse
}

// ICtCpFromBT2020 returns the ICtCp of linear BT.2020 light in cd/m² per channel: equal
// components of 100 are white of 100 cd/m².
//
//	LMS = M₁ RGB    L′M′S′ = PQ(LMS)    ICtCp = M₂ L′M′S′
//
// Cone responses below 0 cd/m² are taken as 0 and above 10000 cd/m² as 10000, because PQ
// is not defined there; see [EncodePQ]. Colours outside BT.2020 may thus not survive a round trip.
//
// Source: [BT2100], table 7.
func ICtCpFromBT2020(cdm2 [3]float64) ICtCp {
	lms := rgbToLMS.MulVec(cdm2)
	v := lmsToITP.MulVec([3]float64{EncodePQ(lms[0]), EncodePQ(lms[1]), EncodePQ(lms[2])})
	return ICtCp{v[0], v[1], v[2]}
}

// BT2020 returns the linear BT.2020 light of c in cd/m² per channel. It undoes [ICtCpFromBT2020].
//
// Source: [BT2100], table 7, inverted.
func (c ICtCp) BT2020() [3]float64 {
	v := itpToLMS.MulVec([3]float64{c.I, c.Ct, c.Cp})
	return lmsToRGB.MulVec([3]float64{DecodePQ(v[0]), DecodePQ(v[1]), DecodePQ(v[2])})
}

// LMS returns the cone responses of BT.2100 in cd/m². All light has responses of 0 or more.
//
// Source: [BT2100], table 7; [BT2020], table 3.
func (c XYZ) LMS() [3]float64 { return rgbToLMS.MulVec(BT2020.FromXYZ(c)) }

// ICtCp returns the ICtCp of a stimulus whose Y is in cd/m².
//
// It is absolute: no white enters. For its limits see [ICtCpFromBT2020].
//
// Source: [BT2100], table 7; [BT2020], table 3.
func (c XYZ) ICtCp() ICtCp { return ICtCpFromBT2020(BT2020.FromXYZ(c)) }

// XYZ undoes [XYZ.ICtCp]; Y is in cd/m².
func (c ICtCp) XYZ() XYZ { return BT2020.ToXYZ(c.BT2020()) }

// ITPDelta is a difference by its parts, on the scale of ΔE ITP, where 1 is just
// visible under the most critical conditions: intensity, T (blue-yellow) and P (red-green).
type ITPDelta struct{ I, T, P float64 }

// Delta returns d less c by parts: positive I is brighter, positive T bluer, positive
// P redder than c.
//
// Source: [BT2124], annex 1.
func (c ICtCp) Delta(d ICtCp) ITPDelta {
	return ITPDelta{720 * (d.I - c.I), 360 * (d.Ct - c.Ct), 720 * (d.Cp - c.Cp)}
}

// DeltaEITP returns the colour difference ΔE ITP of two absolute colours.
//
//	ΔE = 720 sqrt(ΔI² + ΔT² + ΔP²)    T = 0.5 Ct    P = Cp
//
// Source: [BT2124], annex 1.
func DeltaEITP(c, d ICtCp) float64 {
	e := c.Delta(d)
	return math.Sqrt(e.I*e.I + e.T*e.T + e.P*e.P)
}
