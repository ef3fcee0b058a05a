package draw

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"candelua/testdata/campaign"
)

// A family of measurements, each drawn by its number: a meter whose noise has any of the three
// terms and its way to integrate, what its bench states, which levels are read how often, and
// what is computed of them. Nothing of it is chosen by hand but the ranges.
type member struct {
	r       *rand.Rand
	noise   [3]float64 // a, b, c
	seconds func(level float64) float64
	told    bool // how long it integrates
	stated  StatedScatter
	flicker [3]float64 // amplitude as a share, phase, and its advance from one single reading to the next
	place   float64    // of the last digit that a person types, 0 where nobody types
	reads   []read
}

// read is a mean of n single readings of a stimulus, at its time in s.
type read struct {
	stimulus, n int
	level, at   float64
}

var (
	statements = []string{"nothing stated", "floor", "repeatability", "noise"}
	patterns   = []string{"each once", "each twice", "each five times", "any number", "one, again and again", "dark beside a white", "between blacks", "typed", "rising", "flickering, five times", "flickering, again and again"}
)

func newMember(statement, pattern string, number int) *member {
	m := &member{r: rand.New(rand.NewPCG(uint64(number), 17))}
	for m.noise == ([3]float64{}) {
		for k, sigma := range []float64{m.logUniform(1e-4, 1e-2), m.logUniform(2e-4, 5e-3) * 10, m.logUniform(5e-4, 5e-3)} {
			if m.r.IntN(2) > 0 {
				m.noise[k] = sigma * sigma
			}
		}
	}
	longest := []float64{1, 4, 20}[m.r.IntN(3)]
	m.seconds = func(level float64) float64 { return max(1, min(longest, 1/max(level, 1e-9))) }
	m.told = longest > 1 || m.r.IntN(2) > 0
	m.state(statement)
	m.plan(pattern)
	return m
}

func (m *member) logUniform(low, high float64) float64 {
	return low * math.Exp(m.r.Float64()*math.Log(high/low))
}

// sigma is the standard deviation of a single reading.
func (m *member) sigma(level float64) float64 {
	t := m.seconds(level)
	return math.Sqrt((m.noise[0]+m.noise[1]*level)/t + m.noise[2]*level*level)
}

// state has the bench state what is so, to a fifth.
func (m *member) state(statement string) {
	off := math.Exp(0.2 * m.r.NormFloat64())
	switch statement {
	case "repeatability":
		m.stated = StatedScatter{Repeatability: off * m.sigma(100), Dark: off * m.sigma(0)}
	case "floor":
		m.stated = StatedScatter{Floor: off * 4 * math.Sqrt(m.noise[0])}
	case "noise":
		for _, level := range []float64{0, 0.03, 0.3, 3, 30, 300} {
			m.stated.Noise = append(m.stated.Noise, NoiseAt{level, off * m.sigma(level), 0.5})
		}
	}
}

// plan says what is read: up to twelve levels between 0.001 and 2,000 cd/m².
func (m *member) plan(pattern string) {
	add := func(stimulus, n int, level float64) {
		m.reads = append(m.reads, read{stimulus, n, level, 10 * float64(len(m.reads))})
	}
	levels := make([]float64, 2+m.r.IntN(11))
	for i := range levels {
		levels[i] = m.logUniform(0.001, 2000)
	}
	switch pattern {
	case "one, again and again":
		for range 2 + m.r.IntN(39) {
			add(0, 1, levels[0])
		}
	case "rising": // as a panel does that warms up, by up to a tenth
		by, n := 0.1*m.r.Float64(), 4+m.r.IntN(37)
		for i := range n {
			add(0, 1, levels[0]*(1+by*float64(i)/float64(n)))
		}
	case "flickering, five times", "flickering, again and again":
		m.flicker = [3]float64{m.logUniform(1e-3, 1e-2), 7 * m.r.Float64(), 7 * m.r.Float64()}
		for i := range 12 {
			if pattern == "flickering, five times" {
				add(i, 5, levels[i%len(levels)])
			} else {
				add(0, 1, levels[0])
			}
		}
	case "dark beside a white":
		add(0, 5, m.logUniform(80, 2000))
		add(1, 1, m.logUniform(0.001, 1))
	case "between blacks":
		for i := range levels {
			for range 4 {
				add(-1, 1, levels[0]/10)
				add(i, 1, levels[0]/10*(1+float64(i)))
			}
		}
		add(99, 5, 400)
	case "typed":
		for i, level := range levels {
			add(i, 1, level)
		}
		m.place = math.Pow(10, float64(m.r.IntN(3)-3))
	default:
		for i, level := range levels {
			n := map[string]int{"each once": 1, "each twice": 2, "each five times": 5}[pattern]
			if n == 0 {
				n = 1 + m.r.IntN(20)
			}
			add(i, n, level)
		}
	}
}

// measure enters the readings on a sheet, and returns their means.
func (m *member) measure(number int) (*Sheet, []XYZ) {
	s, means, taken := &Sheet{}, make([]XYZ, len(m.reads)), 0
	for step, q := range m.reads {
		singles := make([]XYZ, q.n)
		for i := range singles {
			y := q.level*(1+m.flicker[0]*math.Sin(m.flicker[1]+m.flicker[2]*float64(taken))) + m.sigma(q.level)*m.r.NormFloat64()
			taken++
			if m.place > 0 {
				y = math.Round(y/m.place) * m.place
			}
			singles[i].Y = y
		}
		means[step] = MeanOf(singles)
		how := Taken{Stated: m.stated, Began: q.at, Stimulus: fmt.Sprint(q.stimulus), Unsynchronised: m.flicker[0] > 0}
		if m.told {
			how.Seconds = m.seconds(q.level)
		}
		s.Enter(step, 0, "meter", singles, how, Reading{Mean: means[step], Typed: Typed{Place: XYZ{Y: m.place}},
			Keys: Keys{Scatter: NewKey("scatter").Number(number).Number(step), Digit: NewKey("digit").Number(number).Number(step)}})
	}
	return s, means
}

// conclusions are what scripts compute of luminances.
var conclusions = map[string]func(y []float64) float64{
	"one reading": func(y []float64) float64 { return y[len(y)-1] },
	"mean":        meanOfAll,
	"difference":  func(y []float64) float64 { return y[0] - y[len(y)-1] },
	"ratio":       func(y []float64) float64 { return y[len(y)/2] / y[0] },
}

func meanOfAll(y []float64) (mean float64) {
	for _, v := range y {
		mean += v / float64(len(y))
	}
	return mean
}

// score is how a group of members did.
type score struct {
	held, of int
	none     int
	widths   []float64 // over what is needed by somebody who knows the noise
}

const familyDraws = 200

// run measures once and adds to the score of each conclusion.
func (m *member) run(number int, scores map[string]*score) {
	s, means := m.measure(number)
	drawn := make([][]float64, familyDraws)
	for j := range drawn {
		drawn[j] = make([]float64, len(means))
		for i := range means {
			d, _ := s.Draw(i, 0, j)
			drawn[j][i] = d.Apply(means[i]).Y
		}
	}
	truth, read := make([]float64, len(means)), make([]float64, len(means))
	for i, q := range m.reads {
		truth[i], read[i] = q.level, means[i].Y
	}
	for name, of := range conclusions {
		k := scores[name]
		if s.NoScatter() > 0 {
			k.none++
			continue
		}
		values := numbers(familyDraws, func(j int) float64 { return of(drawn[j]) })
		u, err := EvaluateWithin(of(read), values, Unlimited)
		if err != nil {
			k.none++
			continue
		}
		k.of++
		if want := of(truth); u.Low <= want && want <= u.High {
			k.held++
		}
		if need := m.need(of, truth); need > 0 {
			k.widths = append(k.widths, (u.High-u.Low)/need)
		}
	}
}

// need is the width of the 95 % interval of somebody who knows the noise, by first
// derivatives.
func (m *member) need(of func([]float64) float64, truth []float64) float64 {
	variance := 0.
	for i, q := range m.reads {
		sigma := math.Sqrt(m.sigma(q.level)*m.sigma(q.level)/float64(q.n) + m.place*m.place/12 + m.flicker[0]*m.flicker[0]/2*q.level*q.level)
		up := slices.Clone(truth)
		up[i] += sigma
		d := of(up) - of(truth)
		variance += d * d
	}
	return 2 * 1.96 * math.Sqrt(variance)
}

func (k *score) String() string {
	if k.of == 0 {
		return "-"
	}
	slices.Sort(k.widths)
	at := func(p float64) float64 { return k.widths[int(p*float64(len(k.widths)-1))] }
	return fmt.Sprintf("%.1f %% %.2f (%.2f)", 100*float64(k.held)/float64(k.of), at(0.5), at(0.9))
}

// extrapolates says where the scatter of some readings must be concluded from other levels, or from
// one or two degrees of freedom, or where errors go together; there intervals are wide for what is needed.
func extrapolates(statement, pattern string) bool {
	return strings.HasPrefix(pattern, "flickering") || statement != "noise" && slices.Contains([]string{"each once", "each twice", "dark beside a white", "typed"}, pattern)
}

// TestFamily logs how often intervals hold the truth in the family, and how wide they are over
// what is needed: the median, and the width that one in ten exceeds. The table of the package comment is
// that of the full campaign, which has half of the statements a day. What is asked is 93 % less three standard errors, but 90 % of
// readings that flicker, and, where nothing must be extrapolated, a median width of at most 1.4.
func TestFamily(t *testing.T) {
	n := campaign.Of(t, 25, 1000)
	for _, statement := range campaign.Part(t, statements, len(statements), (len(statements)+1)/2) {
		total := score{}
		for _, pattern := range patterns {
			scores := familyScores(statement, pattern, n)
			var out []string
			for _, name := range []string{"one reading", "mean", "difference", "ratio"} {
				k := scores[name]
				out = append(out, k.String())
				total.held, total.of = total.held+k.held, total.of+k.of
				k.judge(t, statement, pattern, name)
			}
			t.Logf("%-15s %-28s %s; none %d", statement, pattern, strings.Join(out, "; "), scores["mean"].none)
		}
		if share := float64(total.held) / float64(total.of); share < 0.935 || share > 0.985 {
			t.Errorf("%s: in all, intervals hold the truth in %.1f %%", statement, 100*share)
		}
	}
}

func familyScores(statement, pattern string, n int) map[string]*score {
	scores := map[string]*score{}
	for name := range conclusions {
		scores[name] = &score{}
	}
	for i := range n {
		newMember(statement, pattern, i).run(i, scores)
	}
	return scores
}

func (k *score) judge(t *testing.T, statement, pattern, name string) {
	t.Helper()
	if k.of == 0 {
		return
	}
	least := 0.93
	if strings.HasPrefix(pattern, "flickering") {
		least = 0.9
	}
	if share := float64(k.held) / float64(k.of); share < least-3*math.Sqrt(0.05*0.95/float64(k.of)) {
		t.Errorf("%s, %s, %s: the interval holds the truth in %.1f %% of %d", statement, pattern, name, 100*share, k.of)
	}
	if median := k.widths[len(k.widths)/2]; median > 1.4 && k.of > 100 && !extrapolates(statement, pattern) {
		t.Errorf("%s, %s, %s: the interval is %.2f times as wide as needed", statement, pattern, name, median)
	}
}
