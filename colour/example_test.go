package colour_test

import (
	"fmt"

	"candelua/colour"
)

// From a spectrometer's reading to what a report says of a white.
func Example() {
	spectrum, err := colour.Daylight(6500 * colour.NominalDaylight)
	if err != nil {
		fmt.Println(err)
		return
	}
	reading, err := colour.CIE1931.XYZ(spectrum.Scale(1e-4)) // W/(sr m² nm)
	if err != nil {
		fmt.Println(err)
		return
	}
	white, err := colour.DescribeWhite(reading, colour.D65)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f cd/m², x %.4f y %.4f, %.0f K, Duv %.4f\n",
		reading.Y, white.XY.X, white.XY.Y, white.CCT.Kelvin, white.CCT.Duv)
	// Output: 721.7 cd/m², x 0.3127 y 0.3290, 6504 K, Duv 0.0032
}

// How far a measured patch is from what its code asks for.
func ExampleDeltaE2000() {
	white, err := colour.NewWhite(colour.D65.XYZ(120))
	if err != nil {
		fmt.Println(err)
		return
	}
	asked := colour.BT709.ToXYZ([3]float64{0.5, 0.2, 0.1}).Scale(120)
	shown := asked.Add(colour.XYZ{X: 0.5, Y: 0.1, Z: 0.2})
	e := colour.DeltaE2000(white.Lab(asked), white.Lab(shown))
	fmt.Printf("%.2f\n", e)
	// Output: 0.90
}

func ExampleDeltaEITP() {
	// The same step of 1 cd/m², seen at 1 and at 100 cd/m².
	grey := func(cdm2 float64) colour.ICtCp { return colour.ICtCpFromBT2020([3]float64{cdm2, cdm2, cdm2}) }
	fmt.Printf("%.1f %.1f\n", colour.DeltaEITP(grey(1), grey(2)), colour.DeltaEITP(grey(100), grey(101)))
	// Output: 27.5 0.7
}

func ExampleXY_CCT() {
	c, err := colour.XY{X: 0.2831, Y: 0.2970}.CCT()
	fmt.Printf("%.0f K, Duv %.4f, %v\n", c.Kelvin, c.Duv, err)
	_, err = colour.XY{X: 0.30, Y: 0.60}.CCT()
	fmt.Println(err)
	// Output:
	// 9304 K, Duv 0.0031, <nil>
	// no correlated colour temperature: the colour is too far from white: Duv is 0.0992; it must be from -0.05 to 0.05
}

func ExamplePolygon_Compare() {
	display := colour.UVPolygon(colour.UV{U: 0.48, V: 0.525}, colour.UV{U: 0.10, V: 0.575}, colour.UV{U: 0.17, V: 0.16})
	g, err := display.Compare(colour.P3D65.UVGamut())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("covers %.1f %%, area %.1f %%\n", 100*g.Coverage, 100*g.Ratio)
	// Output: covers 93.5 %, area 94.6 %
}

func ExampleFourColour() {
	pair := func(x, y, Y, x2, y2, Y2 float64) colour.Pair {
		return colour.Pair{Reference: colour.XY{X: x, Y: y}.XYZ(Y), Target: colour.XY{X: x2, Y: y2}.XYZ(Y2)}
	}
	c, err := colour.FourColour(
		pair(0.6812, 0.3176, 88.4, 0.6755, 0.3221, 85),
		pair(0.2451, 0.7090, 310.2, 0.2533, 0.6991, 318.8),
		pair(0.1402, 0.0521, 31.7, 0.1441, 0.0560, 35.2),
		pair(0.3131, 0.3287, 428.9, 0.3170, 0.3348, 437.5),
	)
	if err != nil {
		fmt.Println(err)
		return
	}
	xy, err := c.Apply(colour.XY{X: 0.3170, Y: 0.3348}.XYZ(437.5)).XY()
	fmt.Printf("x %.4f y %.4f, worst Δu′v′ %.1g, %v\n", xy.X, xy.Y, c.Worst().DeltaUV+1e-9, err)
	// Output: x 0.3131 y 0.3287, worst Δu′v′ 1e-09, <nil>
}

func ExampleBT1886() {
	curve, err := colour.NewBT1886(100, 0.1)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f %.2f %.2f\n", curve.Decode(0), curve.Decode(0.5), curve.Decode(1))
	// Output: 0.10 21.60 100.00
}
