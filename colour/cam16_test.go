package colour

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func averageViewing() Viewing {
	return Viewing{White: XYZ{95.05, 100, 108.88}, Adapting: 318.31, Background: 0.2, Surround: AverageSurround}
}

// The worked example that CIE 159 and [Li2017] use, XYZ 19.01 20.00 21.78 under 318.31 cd/m²; values
// from memory: J = 41.7312, M = 0.1074, h = 217.0680.
func TestCAM16WorkedExample(t *testing.T) {
	m := must[*CAM16](t)(NewCAM16(averageViewing()))
	p := m.JMh(XYZ{19.01, 20.00, 21.78})
	near(t, "J", p.J, 41.7312, 5e-5)
	near(t, "M", p.M, 0.1074, 5e-5)
	near(t, "h", p.H, 217.0680, 5e-4)
}

// By hand from the formulas of [Li2017]: 1.7·50/1.35, and ln(1.456)/0.0228 in the direction of 90°.
func TestCAM16UCSByHand(t *testing.T) {
	c := (JMh{50, 20, 90}).UCS()
	near(t, "J′", c.J, 62.962962962962962, 1e-12)
	near(t, "a′", c.A, 0, 1e-12)
	near(t, "b′", c.B, 16.477760955, 1e-8)
}

func TestCAM16OfWhiteAndBlack(t *testing.T) {
	for _, s := range []Surround{AverageSurround, DimSurround, DarkSurround} {
		v := averageViewing()
		v.Surround = s
		m := must[*CAM16](t)(NewCAM16(v))
		near(t, "J of white", m.JMh(v.White).J, 100, 1e-10)
		for _, c := range []XYZ{{}, {-1, -1, -1}, {0, 0, 1e-9}} {
			if got := m.UCS(c); math.IsNaN(got.J+got.A+got.B) || got.J > 1e-3 {
				t.Errorf("%v is %v", c, got)
			}
		}
	}
}

// The scale of the stimuli does not matter as long as white is on it too.
func TestCAM16DoesNotDependOnScale(t *testing.T) {
	v := averageViewing()
	w := v
	w.White = v.White.Scale(3.7)
	a, b := must[*CAM16](t)(NewCAM16(v)), must[*CAM16](t)(NewCAM16(w))
	rapid.Check(t, func(t *rapid.T) {
		c := BT709.ToXYZ(linearRGB().Draw(t, "rgb")).Scale(100)
		if d := DeltaE16(a.UCS(c), b.UCS(c.Scale(3.7))); d > 1e-9 {
			t.Fatalf("they differ by %v", d)
		}
		if DeltaE16(a.UCS(c), a.UCS(c)) != 0 {
			t.Fatal("differs from itself")
		}
	})
}

func TestCAM16Refuses(t *testing.T) {
	change := func(f func(*Viewing)) Viewing { v := averageViewing(); f(&v); return v }
	for name, v := range map[string]Viewing{
		"black white":    change(func(v *Viewing) { v.White = XYZ{} }),
		"strange white":  change(func(v *Viewing) { v.White = XYZ{1, 1, 500} }),
		"no light":       change(func(v *Viewing) { v.Adapting = 0 }),
		"endless light":  change(func(v *Viewing) { v.Adapting = math.Inf(1) }),
		"no background":  change(func(v *Viewing) { v.Background = 0 }),
		"far background": change(func(v *Viewing) { v.Background = 20 }),
		"no surround":    change(func(v *Viewing) { v.Surround = Surround{} }),
	} {
		if _, err := NewCAM16(v); err == nil {
			t.Errorf("%s is accepted", name)
		}
	}
	if _, err := NewCAM16(change(func(v *Viewing) { v.White = XYZ{500, 1, 1} })); !errors.Is(err, ErrNoChromaticity) {
		t.Errorf("a white without a response: error %v", err)
	}
}

func BenchmarkCAM16UCS(b *testing.B) {
	m, err := NewCAM16(averageViewing())
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		sink = m.UCS(XYZ{19, 20, 21}).J
	}
}
