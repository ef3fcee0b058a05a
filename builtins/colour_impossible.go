package builtins

import (
	"errors"
	"fmt"

	"candelua/colour"
	"candelua/engine/fault"
	"candelua/engine/script"
)

// Some conversions are defined for light only, and would give the numbers of black, or
// of a grey, for a stimulus that no light has: one that is negative by more than noise.
// All that say how a stimulus looks or what its chromaticity is refuse it, by one rule
// ([lightOf]), since the rules 4. What is linear, as XYZ to RGB is, takes it: there it is a
// colour of a space with imaginary primaries, and comes back as such.
const rulesOfImpossible = 4

// noiseShare and noiseAbsolute are how far a stimulus may be from zero to count as noise
// around black: as a share of the white's Y, and in cd/m². The latter is five times the
// dark level that is taken for a meter which states none (common practice, no source).
const (
	noiseShare    = 0.001
	noiseAbsolute = 0.05
)

func aroundBlack(c colour.XYZ, most float64) bool {
	return max(c.X, -c.X) <= most && max(c.Y, -c.Y) <= most && max(c.Z, -c.Z) <= most
}

// noLight is the error for a stimulus that no light has.
func noLight(arg string, c colour.XYZ, want string) error {
	return &fault.ArgError{Arg: arg, Got: stimulusText(c), Want: want,
		Tip: "no light has such a stimulus; see whether a black was subtracted that is brighter than the reading"}
}

// light is a check that a stimulus is one of light; arg is its name in messages.
type light func(arg string, c colour.XYZ) error

// beyondTriangle is how far the x, y or 1 - x - y of a measured primary may be below 0, where no
// light is, by noise and the error of its meter (common practice, no source).
const beyondTriangle = 0.01

// lightOf refuses a stimulus that no light has: X, Y or Z is below 0 by more than the noise around black, and by more
// than a meter's error of its chromaticity. It also refuses numbers whose sum is beyond all bounds.
func lightOf(call *script.Call, arg string, c colour.XYZ, noise float64) error {
	sum := c.X + c.Y + c.Z
	switch {
	case !call.Since(rulesOfImpossible):
		return nil
	case !isFinite(c.X, c.Y, c.Z, c.X+15*c.Y+3*c.Z):
		return &fault.ArgError{Arg: arg, Got: stimulusText(c), Want: "a stimulus whose sum is finite", Tip: "check the unit: a stimulus is in cd/m2, or on the scale of its white"}
	case min(c.X, c.Y, c.Z) < -(noise + beyondTriangle*max(sum, 0)):
		return noLight(arg, c, wantLight)
	}
	return nil
}

const wantLight = "a stimulus of light, whose X, Y and Z are not below 0, or noise around black"

// whiteLight is the check for a reference white, of which no part may be noise.
func whiteLight(call *script.Call, arg string, c colour.XYZ) error {
	if err := lightOf(call, arg, c, 0); err != nil {
		return err
	}
	if call.Since(rulesOfImpossible) && min(c.X, c.Y, c.Z) < 0 {
		return noLight(arg, c, "a stimulus of light, whose X, Y and Z are above 0")
	}
	return nil
}

// labLight is the check for CIELAB.
func labLight(call *script.Call, white *colour.White) light {
	return func(arg string, c colour.XYZ) error {
		if white == nil {
			return nil
		}
		return lightOf(call, arg, c, noiseShare*white.XYZ().Y)
	}
}

func stimulusText(c colour.XYZ) string {
	return fmt.Sprintf("X %s, Y %s, Z %s", formatNumber(c.X), formatNumber(c.Y), formatNumber(c.Z))
}

// primaryOf reads the chromaticity of a primary or a white. What was measured must be light. A chromaticity
// that is written as such may be imaginary: standards define such primaries, such as the green and the
// blue of ACES2065-1 (SMPTE ST 2065-1), so that a space holds all colours.
func primaryOf(call *script.Call, arg string, x any) (colour.XY, error) {
	xy, err := chromaticityOf(call, arg, x)
	if err != nil || !call.Since(rulesOfImpossible) || !isMeasured(x) {
		return xy, err
	}
	c, err := stimulusOf(arg, x)
	if err == nil && (!(c.Y > 0) || min(xy.X, xy.Y, 1-xy.X-xy.Y) < -beyondTriangle) {
		err = noLight(arg, c, fmt.Sprintf("a stimulus of light: Y above 0, and X, Y and Z not below -%g of their sum", beyondTriangle))
	}
	return xy, err
}

// isMeasured says whether a colour is given by its X, Y and Z.
func isMeasured(x any) bool {
	switch x.(type) {
	case *Reading, *ColourXYZ:
		return true
	}
	_, is := numbersOf(x, "X", "Y", "Z")
	return is
}

// ictcpSpace refuses a space in which ICtCp has no numbers for some colours: it would take them for
// others, and the volume would be too small.
func ictcpSpace(call *script.Call, s *colour.Space, white float64) error {
	for i, name := range []string{"red", "green", "blue"} {
		var rgb [3]float64
		rgb[i] = 1
		if err := conesLight(call, "the full "+name+" of the space", s.ToXYZ(rgb).Scale(white)); err != nil {
			var wrong *fault.ArgError
			if errors.As(err, &wrong) {
				wrong.Tip = "this primary is imaginary; compute the volume in CIELAB, which has numbers for it, or that of a space of real primaries"
			}
			return err
		}
	}
	return nil
}

// luvLight is the check for CIELUV. Noise around black has no chromaticity, and u* and v* of 0.
func luvLight(call *script.Call, white *colour.White) light {
	return func(arg string, c colour.XYZ) error {
		if white == nil || !call.Since(rulesOfImpossible) || aroundBlack(c, noiseShare*white.XYZ().Y) {
			return nil
		}
		if err := lightOf(call, arg, c, noiseShare*white.XYZ().Y); err != nil {
			return err
		}
		if _, err := c.UV(); err != nil || !(c.Y > 0) {
			return noLight(arg, c, "a stimulus with Y and X + 15 Y + 3 Z above 0, or black")
		}
		return nil
	}
}

// cam16Light is the check for CAM16, in which noise around black is black.
func cam16Light(call *script.Call, m *colour.CAM16, white float64) light {
	return func(arg string, c colour.XYZ) error {
		if !call.Since(rulesOfImpossible) || aroundBlack(c, noiseShare*white) {
			return nil
		}
		if err := lightOf(call, arg, c, noiseShare*white); err != nil {
			return err
		}
		if !(c.Y > 0) || m.JMh(c).J == 0 {
			return noLight(arg, c, "a stimulus with a Y and an achromatic response above 0, or black")
		}
		return nil
	}
}

// ictcpLight is the check for ICtCp, which is absolute.
func ictcpLight(call *script.Call) light {
	return func(arg string, c colour.XYZ) error {
		if err := lightOf(call, arg, c, noiseAbsolute); err != nil {
			return err
		}
		return conesLight(call, arg, c)
	}
}

// conesLight refuses what PQ would take for 0.
func conesLight(call *script.Call, arg string, c colour.XYZ) error {
	if !call.Since(rulesOfImpossible) {
		return nil
	}
	for _, v := range c.LMS() {
		if v < -noiseAbsolute {
			return noLight(arg, c, fmt.Sprintf("a stimulus with cone responses L, M and S (ITU-R BT.2100) of 0 cd/m2 or more; down to %g counts as noise around black", -noiseAbsolute))
		}
	}
	return nil
}
