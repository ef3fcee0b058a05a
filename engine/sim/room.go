package sim

import (
	"math"
	"time"
)

// lamp is one of the room's lamps. Model of our own: with a warmth u that goes
// to 1 while the lamp is on and to 0 while it is off, and a slow drift w,
//
//	E(t) = level · E_full · (1 + warm_by·(1 − u)) · (1 + drift·w(t))
//	u(t) = U + (u₀ − U)·exp(−t/τ)
type lamp struct {
	p     LampParams
	drift *wander

	level    float64 // 0 to 1
	since    time.Duration
	from, to float64 // u₀, U
}

func (l *lamp) at(t time.Duration) float64 {
	return l.to + (l.from-l.to)*math.Exp(-(t-l.since).Seconds()/l.p.WarmSecs)
}

func (l *lamp) set(t time.Duration, level float64) {
	l.from, l.since, l.level, l.to = l.at(t), t, level, 0
	if level > 0 {
		l.to = 1
	}
}

// mean returns the mean of E/E_full over so many seconds from t on. The drift
// is so slow that the mean of the product is the product of the means.
func (l *lamp) mean(t time.Duration, over float64) float64 {
	if l.level == 0 {
		return 0
	}
	warm := expSum{{coef: l.to}, {l.at(t) - l.to, 1 / l.p.WarmSecs}}
	return l.level * (1 + l.p.WarmBy/100*(1-warm.mean(over))) * (1 + l.p.Drift/100*l.drift.mean(t, over))
}

// room is where the unit stands. Model of our own: a screen of reflectance ρ
// throws back, evenly in all directions, a luminance of
//
//	L = ρ·E/π
//
// which adds to all that it shows. Source: IDMS, a Lambertian reflector.
type room struct {
	p     RoomParams
	lamps []lamp
}

func newRoom(p RoomParams, lamps []LampParams, n *noise) *room {
	r := &room{p: p, lamps: make([]lamp, len(lamps))}
	for i, l := range lamps {
		r.lamps[i] = lamp{p: l, drift: n.newWander(noiseLamp+uint64(i)<<8, l.DriftSecs)}
	}
	return r
}

// screenLux returns the mean illuminance of the screen.
func (r *room) screenLux(t time.Duration, over float64) float64 {
	lux := r.p.Stray
	for i := range r.lamps {
		lux += r.lamps[i].p.Lux * r.lamps[i].mean(t, over)
	}
	return lux
}

// sensorLux returns that of the unit's ambient sensor, nothing shading it.
func (r *room) sensorLux(t time.Duration, over float64) float64 {
	lux := r.p.Stray
	for i := range r.lamps {
		lux += r.lamps[i].p.Sensor * r.lamps[i].mean(t, over)
	}
	return lux
}

// settledSensorLux is the illuminance that the unit goes by: of warm lamps that
// do not drift, since it takes no notice of small changes.
func (r *room) settledSensorLux() float64 {
	lux := r.p.Stray
	for i := range r.lamps {
		lux += r.lamps[i].p.Sensor * r.lamps[i].level
	}
	return lux
}

// reflected returns the luminance that the screen throws back, in cd/m².
func (r *room) reflected(lux float64) float64 { return r.p.Reflectance / 100 * lux / math.Pi }
