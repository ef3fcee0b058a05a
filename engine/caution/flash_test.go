package caution

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"candelua/engine/bench"
)

func grey(v, window float64, s bench.Signal) bench.Patch {
	return bench.Patch{RGB: [3]float64{v, v, v}, Window: window, Signal: s, At: [2]float64{0.5, 0.5}}
}

func rgb(r, g, b float64) bench.Patch {
	return bench.Patch{RGB: [3]float64{r, g, b}, Window: 10, Signal: bench.SDR, At: [2]float64{0.5, 0.5}}
}

// alternate shows two patches in turn, n in all, each for a time.
func alternate(a, b bench.Patch, n int, hold time.Duration) []Lit {
	var all []Lit
	for i := range n {
		p := a
		if i%2 == 1 {
			p = b
		}
		all = append(all, Lit{p, time.Duration(i) * hold})
	}
	return all
}

// ever judges each beginning of a list.
func ever(shown []Lit) bool {
	for n := range shown {
		if Flashes(shown[:n+1]) {
			return true
		}
	}
	return false
}

// The criterion by its own words: three flashes in a second may be, more may not; a step counts from 10 % on, where the
// darker state is below 80 %; red counts by itself.
func TestFlashesByTheCriterion(t *testing.T) {
	black, white := grey(0, 100, bench.SDR), grey(1, 100, bench.SDR)
	third, quarter := time.Second/6, time.Second/8
	at := func(y float64) bench.Patch { // of this relative luminance, by IEC 61966-2-1
		return grey(1.055*math.Pow(y, 1/2.4)-0.055, 100, bench.SDR)
	}
	pq := func(nits float64) bench.Patch { // by SMPTE ST 2084
		y := math.Pow(nits/10000, 2610./16384)
		return grey(math.Pow((3424./4096+32*2413./4096*y)/(1+32*2392./4096*y), 2523./4096*128), 10, bench.PQ)
	}
	atEnd := grey(1, 1, bench.SDR)
	atEnd.At = [2]float64{0.9, 0.1}
	elsewhere := atEnd
	elsewhere.At = [2]float64{0.1, 0.9}
	for name, c := range map[string]struct {
		shown []Lit
		want  bool
	}{
		"four flashes a second":                  {alternate(black, white, 20, quarter), true},
		"three flashes a second":                 {alternate(black, white, 20, third), false},
		"a little more than three":               {alternate(black, white, 20, third*98/100), true},
		"three flashes, and then rest":           {alternate(black, white, 7, quarter), false},
		"three and a half":                       {alternate(black, white, 8, quarter), true},
		"a step of 10 %":                         {alternate(at(0.5), at(0.601), 20, quarter), true},
		"a step of less":                         {alternate(at(0.5), at(0.599), 20, quarter), false},
		"the darker just below 80 %":             {alternate(at(0.799), at(0.9), 20, quarter), true},
		"the darker at 80 %":                     {alternate(at(0.801), at(1), 20, quarter), false},
		"a small window":                         {alternate(grey(0, 0.01, bench.SDR), grey(1, 0.01, bench.SDR), 20, quarter), true},
		"windows in turn at two places":          {alternate(atEnd, elsewhere, 20, quarter), true},
		"saturated red, too dim for the rest":    {alternate(black, rgb(0.35, 0, 0), 20, quarter), true},
		"blue as dim":                            {alternate(black, rgb(0, 0, 0.35), 20, quarter), false},
		"red against a green of the same light":  {alternate(rgb(0.9, 0, 0), rgb(0, 0.53, 0), 20, quarter), true},
		"a red that is not saturated":            {alternate(rgb(0.6, 0.45, 0.45), rgb(0.5, 0.5, 0.5), 20, quarter), false},
		"HDR from 300 to 400 cd/m2":              {alternate(pq(300), pq(400), 20, quarter), true},
		"HDR from 300 to 310 cd/m2":              {alternate(pq(300), pq(310), 20, quarter), false},
		"HDR from 0 to 21 cd/m2":                 {alternate(pq(0), pq(21), 20, quarter), true},
		"HDR from 0 to 19 cd/m2":                 {alternate(pq(0), pq(19), 20, quarter), false},
		"one patch again and again":              {alternate(white, white, 40, quarter/10), false},
		"no patch":                               {nil, false},
		"more windows than can be looked at":     {manyWindows(300), true},
		"a bar that moves once over the screen":  {moving(55), false},
		"up in many steps, and down in as many":  {ramp(30, quarter/8), false},
		"a step of a fifth, ten times in a row":  {stairs(10, quarter/8), false},
		"four flashes while a slow ramp goes on": {shaking(20, quarter), true},
	} {
		if got := ever(c.shown); got != c.want {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}

func manyWindows(n int) []Lit {
	var all []Lit
	r := rand.New(rand.NewPCG(1, 2))
	for i := range n {
		p := grey(1, 1+r.Float64(), bench.SDR)
		p.At = [2]float64{r.Float64(), r.Float64()}
		all = append(all, Lit{p, time.Duration(i) * time.Millisecond})
	}
	return all
}

func moving(n int) []Lit {
	var all []Lit
	for i := range n {
		p := grey(1, 1, bench.SDR)
		p.At[0] = float64(i) / float64(n)
		all = append(all, Lit{p, time.Duration(i) * time.Second / 60})
	}
	return all
}

func ramp(n int, hold time.Duration) []Lit {
	var all []Lit
	for i := range 2 * n {
		all = append(all, Lit{grey(math.Abs(1-float64(i)/float64(n)), 100, bench.SDR), time.Duration(i) * hold})
	}
	return all
}

func stairs(n int, hold time.Duration) []Lit {
	var all []Lit
	for i := range n {
		all = append(all, Lit{grey(float64(i)/float64(n), 100, bench.SDR), time.Duration(i) * hold})
	}
	return all
}

func shaking(n int, hold time.Duration) []Lit {
	var all []Lit
	for i := range n {
		all = append(all, Lit{grey(0.4+0.02*float64(i)+0.3*float64(i%2), 10, bench.SDR), time.Duration(i) * hold})
	}
	return all
}

// A judge of another kind agrees on generated lists: it looks at a grid of points, and tries every way to pick changes.
func TestFlashesAgainstAPlainJudge(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	flashed := 0
	const lists = 400
	for n := range lists {
		shown := generated(r)
		got, want := Flashes(shown), plainFlashes(shown)
		if got != want {
			t.Fatalf("list %d: %v, and the plain judge says %v: %+v", n, got, want, shown)
		}
		if want {
			flashed++
		}
	}
	if flashed < lists/8 || flashed > lists*7/8 {
		t.Errorf("%d of %d lists flash: that tells little", flashed, lists)
	}
}

// generated is a short list of few colours and windows, lit at irregular times.
func generated(r *rand.Rand) []Lit {
	levels := []float64{0, 0.2, 0.35, 0.5, 0.75, 0.91, 0.95, 1}
	level := func() float64 { return levels[r.IntN(len(levels))] }
	signal := bench.SDR
	if r.IntN(4) == 0 {
		signal = bench.PQ
	}
	var all []Lit
	at := time.Duration(0)
	for range 8 + r.IntN(5) {
		g := level()
		p := bench.Patch{RGB: [3]float64{g, g, g}, Window: []float64{4, 25, 100}[r.IntN(3)], Signal: signal, At: [2]float64{0.2 + 0.3*float64(r.IntN(3)), 0.5}}
		if r.IntN(3) == 0 {
			p.RGB = [3]float64{level(), 0, level() * float64(r.IntN(2))}
		}
		if r.IntN(4) == 0 {
			b := level()
			p.Background = [3]float64{b, b, b}
		}
		all = append(all, Lit{p, at})
		at += time.Duration(20+r.IntN(150)) * time.Millisecond
	}
	return all
}

// plainFlashes follows the words of the criterion without thought of speed.
func plainFlashes(shown []Lit) bool {
	end := shown[len(shown)-1].At
	for n := range 120 {
		x, y := 0.0125+0.025*float64(n/3), []float64{0.5, 0.35, 0.1}[n%3]
		var states [][3]float64
		hdr := false
		for i, s := range shown {
			if i+1 < len(shown) && shown[i+1].At <= end-999*time.Millisecond {
				continue // over before the second began
			}
			v := s.Patch.Background
			side := math.Sqrt(s.Patch.Window / 100)
			left := math.Min(math.Max(s.Patch.At[0]-side/2, 0), 1-side)
			if left < x && x < left+side && math.Abs(y-0.5) < side/2 { // all windows are in the middle of the height
				v = s.Patch.RGB
			}
			states = append(states, plainLinear(v, s.Patch.Signal))
			hdr = s.Patch.Signal == bench.PQ
		}
		if plainLongest(states, 0, 0, hdr, plainGeneral) > 6 || plainLongest(states, 0, 0, hdr, plainRed) > 6 {
			return true
		}
	}
	return false
}

func plainLinear(v [3]float64, s bench.Signal) (out [3]float64) {
	for i, e := range v {
		switch {
		case s == bench.PQ: // SMPTE ST 2084
			p := math.Pow(e, 1/(2523./4096*128))
			out[i] = 10000 * math.Pow(math.Max(p-3424./4096, 0)/(2413./4096*32-2392./4096*32*p), 1/(2610./16384)) / 200
		case e <= 0.04045:
			out[i] = e / 12.92
		default:
			out[i] = math.Pow((e+0.055)/1.055, 2.4)
		}
	}
	return out
}

// plainLongest tries, from a state on, to go to each later one, by a change in the direction wanted (0: either).
func plainLongest(states [][3]float64, from, want int, hdr bool, change func(a, b [3]float64, hdr bool) int) int {
	most := 0
	for i := from; i < len(states); i++ {
		if i > from && want != 0 {
			break // a chain goes on from its own state
		}
		for j := i + 1; j < len(states); j++ {
			if d := change(states[i], states[j], hdr); d != 0 && (want == 0 || d == want) {
				most = max(most, 1+plainLongest(states, j, -d, hdr, change))
			}
		}
	}
	return most
}

func plainY(c [3]float64, hdr bool) float64 {
	if hdr { // ITU-R BT.2020
		return 0.2627*c[0] + 0.6780*c[1] + 0.0593*c[2]
	}
	return 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2]
}

func sign(x float64) int {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

func plainGeneral(a, b [3]float64, hdr bool) int {
	from, to := plainY(a, hdr), plainY(b, hdr)
	low, high := math.Min(from, to), math.Max(from, to)
	if low < 0.8 && high-low >= 0.1 || hdr && low >= 0.8 && 17*(high-low) >= high+low {
		return sign(to - from)
	}
	return 0
}

func plainRed(a, b [3]float64, hdr bool) int {
	saturated := func(c [3]float64) bool { return c[0] > 0 && c[0] >= 0.8*(c[0]+c[1]+c[2]) }
	redness := func(c [3]float64) float64 { return math.Max(0, 320*(c[0]-c[1]-c[2])) }
	if !saturated(a) && !saturated(b) {
		return 0
	}
	if d := redness(b) - redness(a); math.Abs(d) > 20 || plainDistance(a, b, hdr) > 0.2 {
		return sign(d)
	}
	return 0
}

// plainDistance is the distance in u'v' (CIE 1976), with the matrices of IEC 61966-2-1 and ITU-R BT.2087; 0 without light.
func plainDistance(a, b [3]float64, hdr bool) float64 {
	m := [3][3]float64{{0.4124, 0.3576, 0.1805}, {0.2126, 0.7152, 0.0722}, {0.0193, 0.1192, 0.9505}}
	if hdr {
		m = [3][3]float64{{0.6370, 0.1446, 0.1689}, {0.2627, 0.6780, 0.0593}, {0, 0.0281, 1.0610}}
	}
	uv := func(c [3]float64) (u, v float64, ok bool) {
		var t [3]float64
		for i := range m {
			for j := range c {
				t[i] += m[i][j] * c[j]
			}
		}
		d := t[0] + 15*t[1] + 3*t[2]
		return 4 * t[0] / d, 9 * t[1] / d, d > 0
	}
	ua, va, lit := uv(a)
	ub, vb, both := uv(b)
	if !lit || !both {
		return 0
	}
	return math.Hypot(ua-ub, va-vb)
}

func BenchmarkFlashes(b *testing.B) {
	bar := moving(55)
	for b.Loop() {
		Flashes(bar)
	}
}

// TestRepeatsChangeNothing shows and sets random things, each of them once or often, until it flashes: what is done again
// changes no judgement, and what has to be kept does not grow with it.
func TestRepeatsChangeNothing(t *testing.T) {
	flashing := 0
	for seed := range uint64(300) {
		if repeats(t, rand.New(rand.NewPCG(11, seed))) {
			flashing++
		}
	}
	if flashing < 20 || flashing > 280 {
		t.Errorf("%d of 300 lists flash", flashing)
	}
}

func repeats(t *testing.T, r *rand.Rand) bool {
	t.Helper()
	patches := []bench.Patch{grey(0, 100, bench.SDR), grey(1, 10, bench.SDR), grey(0.3, 50, bench.SDR), rgb(1, 0, 0)}
	values := []any{0.0, 100.0, 50.0, "vivid", "calm", true}
	var once, often []Lit
	var setOnce, setOften []Switched
	at := time.Duration(0)
	for range 12 {
		at += time.Duration(r.IntN(400)) * time.Millisecond
		lit, set, lamp := Lit{patches[r.IntN(len(patches))], at}, Switched{"lamp", values[r.IntN(len(values))], at}, r.IntN(3) == 0
		if lamp {
			setOnce = append(setOnce, set)
		} else {
			once = append(once, lit)
		}
		for range 1 + r.IntN(40) {
			if lamp {
				setOften = append(setOften, set)
			} else {
				often = append(often, lit)
			}
			often, setOften = Recent(often), RecentSwitches(setOften)
			if Flashes(once, setOnce...) != Flashes(often, setOften...) {
				t.Fatalf("%v with %v flashes, or not, other than %v with %v", once, setOnce, often, setOften)
			}
		}
		if len(often) > 13 || len(setOften) > 13 {
			t.Fatalf("%d patches and %d settings are kept of 12 things", len(often), len(setOften))
		}
		if Flashes(once, setOnce...) {
			return true // the run has ended
		}
	}
	return false
}
