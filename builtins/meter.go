package builtins

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"candelua/engine/bench"
	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/script"
)

func meterModule() *script.Module {
	return &script.Module{Name: "meter", Help: "Readings of luminance, colour and spectrum.", Funcs: []*script.Func{
		script.Scope("meter.measure", "measures the patch: waits until its light is stable, reads whole refresh periods until the mean is known well enough, and says what stands against the reading; a person who reads the meter is asked for one reading, once the light no longer changes", measure),
		readStep,
		settleStep,
		script.Step("meter.dark", "makes the meter measure its dark level again; where the operator reads the meter, the operator is asked to do it with the meter covered", darkLive, darkDerive, script.Requesting(darkRequest)),
		script.Pure("meter.about", "returns what is known of the meter", about),
		script.Pure("meter.named", "returns another meter of the bench, which is used like meter", named),
	}}
}

var readStep = script.Sampling("meter.read", "reads a fixed number of times, or until the mean is known well enough", readLive, readDerive,
	script.Requesting(readRequest), script.Checking(readCheck))

type readArgs struct {
	Repeats  int     `lua:"repeats" default:"1" min:"1" max:"1000" help:"single readings to average; used only if relative is 0"`
	Relative float64 `lua:"relative" default:"0" min:"0" max:"100" unit:"%" help:"reads until the standard error of the mean is at most this percentage of the luminance, but not more than most times; 0: reads as often as repeats says"`
	Least    int     `lua:"least" default:"5" min:"5" max:"1000" help:"fewest single readings; used only if relative is above 0"`
	Most     int     `lua:"most" default:"50" min:"5" max:"1000" help:"most single readings; used only if relative is above 0; if they do not suffice, u_Y shows what was reached"`
	After    float64 `lua:"after" default:"0" min:"0" max:"86400" unit:"s" help:"delay before the reading, counted from when the patch is lit"`
	Sync     bool    `lua:"sync" default:"false" help:"true: fits the integration to whole refresh periods"`
	Expect   float64 `lua:"expect" default:"0" min:"0" unit:"cd/m2" help:"expected luminance, from which the meter can choose its range; 0: not known"`
	Spectrum bool    `lua:"spectrum" default:"false" help:"true: reads the spectral radiance too"`
	// At is optional without a default: older journals lack it.
	At *[2]float64 `lua:"at" min:"0" max:"1" help:"where on the screen the meter looks, from the left and from the top; when left out, at the middle of the window"`
}

// sample is one single reading as the journal keeps it, in script time.
type sample struct {
	X        float64         `json:"X,omitempty"`
	Y        float64         `json:"Y"`
	Z        float64         `json:"Z,omitempty"`
	Colour   bool            `json:"colour,omitempty"`
	Began    float64         `json:"began"`
	Ended    float64         `json:"ended"`
	Flags    []bench.Flag    `json:"flags,omitempty"`
	Spectrum *bench.Spectrum `json:"spectrum,omitempty"`
	Typed    string          `json:"typed,omitempty"`
	Tries    int             `json:"tries,omitempty"` // how often it was tried, where that was more than once
}

// readAnswer is what the world answered besides the samples.
type readAnswer struct {
	Samples int `json:"samples"`
	// Lit is when a person said that the patch was lit, where one was asked.
	Lit *float64 `json:"lit,omitempty"`
}

// errNoSample is a journal whose answer has lost its readings.
var errNoSample = errors.New("the journal holds no single reading of this step")

func readCheck(a readArgs) error {
	if a.Relative > 0 && a.Most < a.Least {
		return &fault.ArgError{Arg: "most", Got: declare.Show(float64(a.Most)), Want: fmt.Sprintf("%[1]d or more, because least is %[1]d", a.Least), Tip: "give both least and most"}
	}
	return nil
}

func (a readArgs) request() bench.ReadRequest {
	most := a.Repeats
	if a.Relative > 0 {
		most = a.Most
	}
	return bench.ReadRequest{Most: most, After: a.After, Spectrum: a.Spectrum, Sync: a.Sync, Expect: a.Expect, At: a.At}
}

func readLive(ctx context.Context, c *script.Call, a readArgs, emit func(sample) error) (w readAnswer, err error) {
	if err = canAim(c, a.At); err != nil {
		return w, err
	}
	if w.Lit, err = awaitLit(ctx, c, a.After); err != nil {
		return w, err
	}
	known := c.Host().Devices[c.Device()]
	q := a.request()
	q.Steady = sceneOf(c).steady
	if n := sceneOf(c).count; n.done < n.of {
		q.Number, q.Of, q.OrFewer = n.done+1, n.of, n.atMost
	}
	if s := sceneOf(c); known.ByHand && q.At == nil && s.aimed[c.Device()] { // a person leaves it where it was
		home := s.home()
		q.At = &home
	}
	var got []sample
	w.Samples, err = readSamples(ctx, c, q, emit, func(s sample) bool {
		got = append(got, s)
		return a.Relative > 0 && len(got) >= a.Least && settledMean(got, a.Relative, known.Floor)
	})
	return w, err
}

// readSamples takes single readings until enough says so.
func readSamples(ctx context.Context, c *script.Call, q bench.ReadRequest, emit func(sample) error, enough func(sample) bool) (n int, err error) {
	m := c.Bench().Meters[c.Device()]
	if m == nil {
		return 0, missing(c.Device())
	}
	known := c.Host().Devices[c.Device()]
	if known.ByHand {
		c.ByHand()
	}
	err = m.Read(ctx, q, func(raw bench.Sample) error {
		checked, err := bench.CheckSample(raw, known)
		if err == nil {
			err = canCorrect(c, checked)
		}
		if err != nil {
			return err
		}
		n++
		s := sampleOf(c, checked)
		if err := emit(s); err != nil {
			return err
		}
		if enough(s) {
			return bench.Enough
		}
		return nil
	})
	if err == nil && n == 0 {
		err = bench.Errorf(bench.CodeBadReading, "", "the meter returned no reading")
	}
	return n, err
}

func sampleOf(c *script.Call, s bench.Sample) sample {
	door := c.Door()
	out := sample{Y: s.Y, Colour: s.Colour, Began: door.Time(s.Began), Ended: door.Time(s.Ended),
		Flags: s.Flags, Spectrum: s.Spectrum, Typed: s.Typed, Tries: s.Tries}
	if s.Colour {
		out.X, out.Z = s.X, s.Z
	}
	return out
}

// awaitLit waits until the patch has been lit for long enough. A person who
// reads the meter is told instead, and by reading says that it is lit.
func awaitLit(ctx context.Context, c *script.Call, after float64) (said *float64, err error) {
	if c.Host().Devices[c.Device()].ByHand {
		return nil, nil
	}
	since, pending := litSince(c)
	if source, ok := bench.As[bench.Acknowledger](c.Bench().Patches); ok && pending {
		if err := follow(ctx, c, nil); err != nil {
			return nil, err
		}
		lit, err := source.Acknowledge(ctx)
		if err != nil {
			return nil, err
		}
		since = c.Door().Time(lit)
		said = &since
	}
	return said, untilLit(ctx, c, since, after)
}

// litSince is since when the patch is lit, in script time, and whether a person has yet to say so.
func litSince(c *script.Call) (since float64, pending bool) {
	s := sceneOf(c)
	if lit, again, relit := c.Door().Relit(); relit && lit > s.lit {
		return lit + s.late, again
	}
	return s.lit, s.pending
}

// untilLit waits until a patch has been lit for so many seconds.
func untilLit(ctx context.Context, c *script.Call, since, after float64) error {
	clock := c.Bench().Clock
	wait := since + after - c.Door().Time(clock.Now())
	if sceneOf(c).patch == nil || wait <= 0 {
		return nil
	}
	return clock.WaitUntil(ctx, clock.Now()+time.Duration(math.Round(wait*1e9)))
}

func readDerive(c *script.Call, a readArgs, w readAnswer, samples []sample) (Reading, error) {
	if len(samples) == 0 {
		return Reading{}, errNoSample
	}
	said(c, w.Lit)
	sceneOf(c).count.done++
	right, err := corrected(c, samples)
	if err != nil {
		return Reading{}, err
	}
	r, err := take(c, draws(c, samples, right, a.Relative, a.At), right, a.At)
	r.stand(c)
	return r, err
}

// said keeps that the patch is lit, since a person read or said so.
func said(c *script.Call, lit *float64) {
	s := sceneOf(c)
	if lit != nil {
		s.lit, s.pending = *lit, false
	}
	if c.Host().Devices[c.Device()].ByHand {
		s.pending = false
	}
}

// take makes a reading of samples and enters each in the list of readings. read are the samples
// as no draw has moved them: a draw gives other numbers, and no other warnings. at is
// where the meter looked, nil where nobody said.
func take(c *script.Call, samples, read []sample, at *[2]float64) (Reading, error) {
	known := c.Host().Devices[c.Device()]
	s := sceneOf(c)
	s.aimed[c.Device()] = at != nil
	accuracy := known.Accuracy
	if !c.Since(5) {
		accuracy.Noise = nil
	}
	r := average(samples, accuracy)
	r.step = c.Number()
	r.Began, r.Ended = timeNow(c, r.Began), timeNow(c, r.Ended)
	by := correctionOf(c)
	r.Correction = nameOf(by)
	if d := c.Host().Draws; d != nil && d.Before4 {
		read = samples
	}
	r.Flags.Drifting = r.Flags.Drifting || drifts(read, known)
	patch := s.seen(c)
	r.judge(patch)
	bitsOf(c).take(&r)
	if tell := c.Host().Reading; tell != nil {
		for i, x := range samples {
			tell(script.ReadingRow{Reading: c.Number(), Sample: i + 1, At: c.Where(), Part: s.part(), Meter: c.Device(),
				Began: x.Began, Ended: x.Ended, X: x.X, Y: x.Y, Z: x.Z, Colour: x.Colour, Flags: x.Flags, Typed: x.Typed,
				Patch: patch, Lit: s.lit, Path: s.path, HDR: s.hdr, Settings: s.settings, Rig: s.surround(at), Correction: by})
		}
	}
	if err := s.tellMisfit(c); err != nil {
		return r, err
	}
	if err := s.tellPaths(c); err != nil {
		return r, err
	}
	return r, s.tell(c, &r)
}

// canAim refuses a place where nothing can bring the meter: a person can and a
// simulated meter does, but a real one stands where it was put, and would read
// the wrong place without a word.
func canAim(c *script.Call, at *[2]float64) error {
	known := c.Host().Devices[c.Device()]
	if at == nil || known.ByHand || known.Simulated {
		return nil
	}
	return bench.Errorf(bench.CodeUnsupported, "remove at, and move the meter with rig.place or ask the operator to move it with operator.confirm",
		"the %s cannot look at another place by itself", c.Device())
}

func readRequest(a readArgs) (any, error) {
	return a.request(), nil
}

// About is what is known of a meter. What is not stated is nil.
type About struct {
	Name          string   `lua:"name" help:"name that the meter reports"`
	Serial        string   `lua:"serial" help:"serial number; empty if not stated"`
	Floor         float64  `lua:"floor" unit:"cd/m2" help:"lowest luminance that it can measure; 0 if not stated"`
	Repeatability *float64 `lua:"repeatability" unit:"%" help:"standard uncertainty of a single reading"`
	Scale         *float64 `lua:"scale" unit:"%" help:"standard uncertainty of its calibration"`
	ByHand        bool     `lua:"by_hand" help:"true if a person reads it"`
	Simulated     bool     `lua:"simulated" help:"true if its readings are simulated"`
	Correction    *string  `lua:"correction" help:"name of the correction that is applied to its readings; nil if there is none"`
}

// LuaName is what scripts call it.
func (About) LuaName() string { return "meter description" }

func about(c *script.Call, _ script.None) (About, error) {
	d, ok := c.Host().Devices[c.Device()]
	if !ok && !c.Loading() {
		return About{}, missing(c.Device())
	}
	return About{Name: d.Name, Serial: d.Serial, Floor: d.Floor, ByHand: d.ByHand, Simulated: d.Simulated,
		Repeatability: stated(d.Accuracy.Repeatability), Scale: stated(d.Accuracy.Scale), Correction: nameOf(correctionOf(c))}, nil
}

func stated(x float64) *float64 {
	if x == 0 {
		return nil
	}
	return &x
}

type namedArgs struct {
	Name string `lua:"name" pos:"1" one_of:"meter|reference" help:"name of the meter in the bench file"`
}

func named(_ *script.Call, a namedArgs) (script.Bound, error) {
	return script.Bound{Module: "meter", Device: a.Name}, nil
}
