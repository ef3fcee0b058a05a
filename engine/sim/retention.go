package sim

import (
	"math"
	"slices"
	"time"
)

// retention is what stays of a picture that stood. Model of our own: at each
// place each subpixel i has, for each term k, a charge q from 0 to 1 that goes
// to the drive D which it has there, as a share of full drive and limited as
// the frame is once settled,
//
//	q(t) = D + (q₀ − D)·exp(−t/τ)    τ = charge if D > q₀, else decay
//
// and its light becomes
//
//	d·(1 + c_i·(1 − √D)·Σ_k a_k·q_k) + Σ_k e_k·q_k
//
// with the terms' shares a_k, their lights e_k and the colour's factors c_i, a
// white subpixel's being 1. The root is because what stays is a shift of what
// drives the subpixel, which a bright picture shows less than a grey.
//
// Charges are kept by place, exactly: the frames that were shown are kept, and
// a place that is looked at works off those that it has not seen yet. A place
// that no window ever covered has the background's charge, none on black.
type retention struct {
	p      RetentionParams
	full   float64
	shown  []exposure
	places map[[2]float64]*charges
}

// exposure is a frame as retention sees it: drives as shares of full drive.
type exposure struct {
	since  time.Duration
	rect   rect
	window [subpixels]float64
	back   [subpixels]float64
	fields []field // of a pattern, drives as shares too; nil for a window
}

func (e *exposure) same(o *exposure) bool {
	return e.since == o.since && e.rect == o.rect && e.window == o.window && e.back == o.back && slices.Equal(e.fields, o.fields)
}

// maxRetentionTerms bounds what a reading has to multiply out.
const maxRetentionTerms = 3

// charges are those of a place when the frame after the last one seen came.
type charges struct {
	seen int // exposures whose end is worked in
	q    [subpixels][maxRetentionTerms]float64
}

func newRetention(p RetentionParams, full float64) *retention {
	return &retention{p: p, full: full, places: map[[2]float64]*charges{}}
}

// expose says that from t on the panel shows a frame, of which limiting leaves
// so much.
func (r *retention) expose(t time.Duration, f *frame, left float64) {
	if len(r.p.Terms) == 0 {
		return
	}
	e := exposure{since: t, rect: f.rect}
	for i := range e.window {
		e.window[i], e.back[i] = f.window[i]*left/r.full, f.back[i]*left/r.full
	}
	for _, one := range f.fields {
		for i := range one.drive {
			one.drive[i] *= left / r.full
		}
		e.fields = append(e.fields, one)
	}
	if n := len(r.shown); n > 0 {
		last := r.shown[n-1]
		last.since = t
		if last.same(&e) {
			return
		}
	}
	r.shown = append(r.shown, e)
}

// drive returns the drive at a place.
func (e *exposure) drive(at [2]float64) *[subpixels]float64 {
	for i := len(e.fields) - 1; i > 0; i-- {
		if e.fields[i].rect.contains(at) {
			return &e.fields[i].drive
		}
	}
	if e.fields == nil && e.rect.contains(at) {
		return &e.window
	}
	return &e.back
}

// at returns the charges of a place at the beginning of the present frame.
func (r *retention) at(place [2]float64) *charges {
	c := r.places[place]
	if c == nil {
		c = &charges{}
		r.places[place] = c
	}
	for ; c.seen < len(r.shown)-1; c.seen++ {
		e := &r.shown[c.seen]
		passed := (r.shown[c.seen+1].since - e.since).Seconds()
		for i, d := range e.drive(place) {
			for k := range r.p.Terms {
				if q := &c.q[i][k]; *q != d {
					*q = d + (*q-d)*math.Exp(-passed*r.rate(k, *q, d))
				}
			}
		}
	}
	return c
}

// rate returns the rate, in 1/s, at which a charge goes from q to d.
func (r *retention) rate(k int, q, d float64) float64 {
	if d > q {
		return 1 / r.p.Terms[k][0]
	}
	return 1 / r.p.Terms[k][1]
}

// shows returns 1 − √D of a subpixel in the present frame.
func (r *retention) shows(i int, place [2]float64) float64 {
	return 1 - math.Sqrt(math.Min(1, r.shown[len(r.shown)-1].drive(place)[i]))
}

// appendCharge appends weight·q of a subpixel's term from t on.
func (r *retention) appendCharge(dst expSum, c *charges, t time.Duration, place [2]float64, i, k int, weight float64) expSum {
	e := &r.shown[len(r.shown)-1]
	d, q := e.drive(place)[i], c.q[i][k]
	dst[0].coef += weight * d
	if q == d {
		return dst
	}
	rate := r.rate(k, q, d)
	return appendExp(dst, weight*(q-d)*math.Exp(-(t-e.since).Seconds()*rate), rate)
}

func (*retention) turn(time.Duration, load) {}

func (*retention) next() time.Duration { return never }

func (r *retention) appendFactor(dst expSum, t time.Duration, i int, place [2]float64) expSum {
	first := len(dst)
	dst = append(dst, expTerm{coef: 1})
	if len(r.shown) == 0 {
		return dst
	}
	colour := 1.0
	if i < subWhite {
		colour = r.p.Colour[i]
	}
	c := r.at(place)
	colour *= r.shows(i, place)
	sum := dst[first:]
	for k, term := range r.p.Terms {
		sum = r.appendCharge(sum, c, t, place, i, k, colour*term[2]/100)
	}
	return append(dst[:first], sum...)
}

// glow returns the mean light that a subpixel gives besides, over so many
// seconds from t on, in cd/m².
func (r *retention) glow(t time.Duration, over float64, i int, place [2]float64) float64 {
	if len(r.shown) == 0 {
		return 0
	}
	c := r.at(place)
	var room [maxRetentionTerms + 1]expTerm
	sum := append(expSum(room[:0]), expTerm{})
	for k, term := range r.p.Terms {
		if term[3] > 0 {
			sum = r.appendCharge(sum, c, t, place, i, k, term[3])
		}
	}
	return sum.mean(over)
}

func (*retention) steady(load, int) float64 { return 1 }
