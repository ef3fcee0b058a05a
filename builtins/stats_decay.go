package builtins

import (
	"fmt"
	"math"
	"slices"

	"candelua/engine/fault"
	"candelua/engine/script"
)

type decayArgs struct {
	From   []float64 `lua:"from" unit:"s" help:"start of each integration; the amplitudes are those at time 0 of this scale"`
	To     []float64 `lua:"to" unit:"s" help:"end of each integration; the same as from if it took no time"`
	Y      []float64 `lua:"y" help:"means over the integrations"`
	W      []float64 `lua:"weights" optional:"true" min:"0" help:"weight of each y, one divided by its variance; equal when left out"`
	Terms  int       `lua:"terms" default:"1" min:"1" max:"2" help:"number of exponentials"`
	Offset *float64  `lua:"offset" help:"value that y decays to, if it is known; fitted when left out"`
}

// Decay is y = offset + Σ amplitude exp(-t/tau).
type Decay struct {
	Offset    float64  `lua:"offset" help:"value that y decays to"`
	UOffset   *float64 `lua:"u_offset" help:"standard error of the offset from the residuals; nil if the offset was given or this cannot be determined"`
	Terms     []Term   `lua:"terms" help:"the exponentials, the fastest first, each with amplitude, tau, u_amplitude and u_tau"`
	Rms       float64  `lua:"rms" help:"weighted root mean square of the residuals"`
	N         int      `lua:"n" help:"number of points with a weight above 0"`
	Converged bool     `lua:"converged" help:"false if the data do not determine every number; see why"`
	Why       *string  `lua:"why" help:"why it did not converge"`
	first     float64  // when the first integration began
	last      float64  // when the last one ended
	fit       decayFit // what its standard errors follow from
}

// LuaName is what scripts call it.
func (Decay) LuaName() string { return "decay" }

// Bytes is what the fit keeps: of each point when, how long, what and its weight; and of
// its few parameters their covariances.
func (d *Decay) Bytes() int {
	if d.fit.m == nil {
		return 0
	}
	return 512 + 4*8*len(d.fit.m.y)
}

// Term is amplitude exp(-t/tau).
type Term struct {
	Amplitude  float64  `lua:"amplitude" help:"value of the term at t = 0"`
	Tau        float64  `lua:"tau" unit:"s" help:"time constant"`
	UAmplitude *float64 `lua:"u_amplitude" help:"standard error from the residuals; nil if it cannot be determined"`
	UTau       *float64 `lua:"u_tau" unit:"s" help:"standard error from the residuals; nil if it cannot be determined"`
}

// LuaName is what scripts call it.
func (Term) LuaName() string { return "term" }

func decay(c *script.Call, a decayArgs) (Decay, error) {
	m, err := decayModelOf(a)
	if err != nil {
		return Decay{}, err
	}
	m.alone = !c.Since(5)
	c.Charge(int64(len(m.y)) * int64(decayGrid*decayGrid+600*m.size()))
	return m.solve()
}

func decayModelOf(a decayArgs) (*decayModel, error) {
	if err := sameLengths("from", len(a.From), series{"to", a.To, false}, series{"y", a.Y, false}, series{"weights", a.W, true}); err != nil {
		return nil, err
	}
	m := &decayModel{terms: a.Terms, fixed: a.Offset}
	for i := range a.From {
		if a.To[i] < a.From[i] {
			return nil, &fault.ArgError{Arg: fmt.Sprintf("to[%d]", i+1), Got: formatNumber(a.To[i]), Want: atLeast(a.From[i], fmt.Sprintf("from[%d]", i+1))}
		}
		w := 1.0
		if a.W != nil {
			w = a.W[i]
		}
		if w > 0 {
			m.from, m.span, m.y, m.root = append(m.from, a.From[i]), append(m.span, a.To[i]-a.From[i]), append(m.y, a.Y[i]), append(m.root, math.Sqrt(w))
		}
	}
	if least := m.size() + 1; len(m.y) < least {
		return nil, wrongCount("y", howMany(len(m.y), "numbers")+" with a weight above 0", fmt.Sprintf("%d or more", least), "")
	}
	return m, nil
}

// solve fits from the best starts that a grid of time constants gives, and keeps
// the best fit.
func (m *decayModel) solve() (Decay, error) {
	m.begin()
	if !(m.tauHigh > m.tauLow) {
		return Decay{}, &fault.ArgError{Arg: "from", Got: "the same for every point", Want: "at least two different times"}
	}
	return m.result(m.fit()), nil
}

func (m *decayModel) result(f fitted) Decay {
	d := Decay{Rms: math.Sqrt(f.ss / m.weight()), N: len(m.y), first: m.origin, last: m.origin}
	for i := range m.from {
		d.last = math.Max(d.last, m.origin+m.from[i]+m.span[i])
	}
	s2 := f.ss / float64(len(m.y)-m.size())
	d.fit = decayFit{m: m, p: f.p, cov: f.cov, s2: s2}
	at := m.linear() // first parameter of the terms' amplitudes
	if m.fixed != nil {
		d.Offset = *m.fixed
	} else {
		d.Offset = f.p[0]
		if f.cov != nil {
			d.UOffset = root(s2 * f.cov[0][0])
		}
	}
	for k := range m.terms {
		b, l := at+2*k, at+2*k+1
		tau := math.Exp(f.p[l])
		// The amplitude at t = 0 from the one at the first integration:
		// a = b exp(t1/tau), da = exp(t1/tau) (db - b t1/tau dln(tau)).
		grown := math.Exp(m.origin / tau)
		t := Term{Amplitude: f.p[b] * grown, Tau: tau}
		if f.cov != nil {
			g := -f.p[b] * m.origin / tau
			t.UAmplitude = root(s2 * grown * grown * (f.cov[b][b] + 2*g*f.cov[b][l] + g*g*f.cov[l][l]))
			t.UTau = root(s2 * tau * tau * f.cov[l][l])
		}
		d.Terms = append(d.Terms, t)
	}
	slices.SortFunc(d.Terms, func(a, b Term) int { return int(math.Copysign(1, a.Tau-b.Tau)) })
	d.judge(f, m)
	return d
}

// mergedTaus is a ratio of two time constants under which their amplitudes are
// any two that have the right sum.
const mergedTaus = 1.05

// judge says whether the data determine the fit.
func (d *Decay) judge(f fitted, m *decayModel) {
	why := ""
	for _, t := range d.Terms {
		switch {
		case t.Tau >= m.tauHigh*(1-1e-9):
			why = fmt.Sprintf("a time constant reached its upper limit of %.4g s, %d times as long as the decay was observed", m.tauHigh, longestTau)
		case t.Tau <= m.tauLow*(1+1e-9):
			why = fmt.Sprintf("a time constant reached its lower limit of %.4g s, too short for the readings", m.tauLow)
		case !finite(t.Amplitude) || t.UAmplitude != nil && !finite(*t.UAmplitude):
			why = "t = 0 is too long before the first reading to determine the amplitude at t = 0"
		}
	}
	switch {
	case why != "":
	case f.cov == nil:
		why = "the readings do not determine every number"
	case m.drowned(f):
		why = "a term is not larger than the scatter; perhaps nothing decays"
	case len(d.Terms) == 2 && d.Terms[1].Tau < mergedTaus*d.Terms[0].Tau:
		why = "the two time constants cannot be told apart; fit one term"
	case !f.converged:
		why = fmt.Sprintf("no minimum was found in %d steps", decaySteps)
	}
	d.Converged = why == ""
	if !d.Converged {
		d.Why = &why
	}
}

// drowned says whether a term's amplitude at the first integration is less than
// two of its standard errors, or mere rounding.
func (m *decayModel) drowned(f fitted) bool {
	s2 := f.ss / float64(len(m.y)-m.size())
	for k := range m.terms {
		b := m.linear() + 2*k
		size := math.Abs(f.p[b])
		if size < 2*math.Sqrt(s2*f.cov[b][b]) || size*math.Sqrt(m.weight()) <= fitExact*m.length() {
			return true
		}
	}
	return false
}

type decaySelf struct {
	Self *Decay  `lua:"self"`
	T    float64 `lua:"t" pos:"1" unit:"s" help:"time, on the scale of from and to"`
}

// at is the fitted curve at a moment.
func (d *Decay) at(t float64) float64 {
	y := d.Offset
	for _, e := range d.Terms {
		y += e.Amplitude * math.Exp(-t/e.Tau)
	}
	return y
}
