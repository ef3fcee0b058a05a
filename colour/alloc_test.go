package colour

import "testing"

// No function that is called once per sample allocates.
func TestPerSampleFunctionsDoNotAllocate(t *testing.T) {
	white := must[White](t)(NewWhite(D65.XYZ(100)))
	model := must[*CAM16](t)(NewCAM16(Viewing{D65.XYZ(100), 20, 0.2, DimSurround}))
	hlg := must[HLG](t)(NewHLG(1000, 0.01))
	coding := must[Coding](t)(NewCoding(10, false))
	adaptation := must[Matrix](t)(CAT16.Adaptation(D65, DCIWhite))
	correction := Correction{Matrix: Identity}
	c, d := XYZ{20, 30, 40}, XYZ{21, 29, 41}
	xy := XY{0.32, 0.34}
	near := xy.XYZ(100) // an error, such as that of a colour without a temperature, does allocate
	var curve Transfer = hlg
	for name, f := range map[string]func(){
		"chromaticity": func() { a, _ := c.XY(); b, _ := c.UV(); sink += a.UV().Distance(b) + b.UV1960().U + a.XYZ(3).X },
		"CIELAB":       func() { sink += white.FromLab(white.Lab(c).LCh().Lab()).X + white.Lab(c).Delta(white.Lab(d)).H },
		"CIELUV":       func() { sink += white.FromLuv(white.Luv(c)).X + DeltaEuv(white.Luv(c), white.Luv(d)) },
		"ICtCp":        func() { sink += DeltaEITP(c.ICtCp(), d.ICtCp()) + c.ICtCp().XYZ().X },
		"CAM16":        func() { sink += DeltaE16(model.UCS(c), model.UCS(d)) },
		"CIEDE2000": func() {
			p, q := white.Lab(c), white.Lab(d)
			sink += DeltaE2000Weighted(p, q, Weights2000{2, 1, 1}) + p.Delta2000(q).H + DeltaE76(p, q)
		},
		"spaces":       func() { sink += BT2020.ToXYZ(BT709.FromXYZ(c)).X + adaptation.Apply(c).X + correction.Apply(c).Y },
		"temperature":  func() { a, _ := xy.CCT(); b, _ := FromCCT(a); sink += b.X + DaylightOffset(xy, D65).Along },
		"dominant":     func() { a, _ := xy.Dominant(D65); sink += a.Nanometres },
		"white report": func() { a, _ := DescribeWhite(near, D65); sink += a.Offset.Across },
		"HLG":          func() { sink += hlg.EncodeRGB(hlg.DecodeRGB([3]float64{0.5, 0.6, 0.7}))[0] },
		"codes":        func() { sink += coding.Signal(coding.Code(0.3)) },
		"tone":         func() { sink += Deviation(Level{0.5, 20}, curve, 1000).DeltaITP },
		"observer":     func() { x, _, _ := CIE1931.CMF(555.5); sink += x + MelanopicAction(481) },
	} {
		if n := testing.AllocsPerRun(20, f); n != 0 {
			t.Errorf("%s: %v allocations", name, n)
		}
	}
}
