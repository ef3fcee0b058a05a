package screen

import (
	"math"
	"time"
)

// pageClock is how a page's clock stands to this machine's, from echoes: the page says what its clock was at some
// moment between an echo's going and its return. The shortest way tells it best.
type pageClock struct {
	base    time.Time // to which zeros count
	samples []echoed
}

type echoed struct {
	zero time.Duration // when the page's clock was 0, since base, if the echo was answered half-way
	half time.Duration // half of the way
	at   time.Duration // since base
}

// drift is by how much two clocks may run apart: 100 parts in a million (common practice, no source).
const drift = 100e-6

// mostEchoes is how many are kept.
const mostEchoes = 64

// add takes in an echo.
func (c *pageClock) add(sent, got time.Time, page float64) {
	if c.base.IsZero() {
		c.base = sent
	}
	way := got.Sub(sent)
	mid := sent.Add(way / 2)
	c.samples = append(c.samples, echoed{mid.Sub(c.base) - ms(page), way / 2, mid.Sub(c.base)})
	if len(c.samples) > mostEchoes {
		c.samples = c.samples[1:]
	}
}

// time is when it was, here, as the page's clock was so many ms, and the standard uncertainty: the truth lies
// anywhere within half of the way (JCGM 100:2008, 4.3.7). It is false before the first echo.
func (c *pageClock) time(page float64) (t time.Time, u time.Duration, ok bool) {
	best, within := echoed{}, time.Duration(math.MaxInt64)
	for _, s := range c.samples {
		away := (s.zero + ms(page) - s.at).Abs()
		if w := s.half + time.Duration(drift*float64(away)); w < within {
			best, within = s, w
		}
	}
	if len(c.samples) == 0 {
		return t, 0, false
	}
	return c.base.Add(best.zero + ms(page)), time.Duration(float64(within) / math.Sqrt(3)), true
}

func ms(n float64) time.Duration { return time.Duration(n * float64(time.Millisecond)) }
