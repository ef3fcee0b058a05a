package engine_test

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"candelua/engine/bench"
	"candelua/engine/journal"
	"candelua/engine/sim"
	"candelua/testdata/campaign"
)

// TestShippedPromptsCount: a person who reads the meter is told in each shipped procedure which reading of how many is asked for. The
// numbers rise by one, and the last one is what was said, or fewer where it said at most.
func TestShippedPromptsCount(t *testing.T) {
	for _, c := range campaign.Some(t, smallRuns, 4) {
		t.Run(c.name+" "+strings.Join(c.set, " "), func(t *testing.T) {
			var asked []bench.ReadRequest
			s := simSpec(t, shipped(t, c.name), c.set...)
			s.Openers = bench.Openers{"sim": func() (bench.Driver, error) {
				d, err := sim.Opener(sim.Default(), 1, 0)()
				return &handDriver{d.(*sim.Driver), &asked}, err
			}}
			ran(t, s, journal.Done)
			countsRight(t, asked)
		})
	}
}

// handDriver is a simulated bench whose meters are read by a person.
type handDriver struct {
	*sim.Driver
	asked *[]bench.ReadRequest
}

func (d *handDriver) Open(ctx context.Context, k bench.Kind, s bench.Section) (bench.Device, error) {
	device, err := d.Driver.Open(ctx, k, s)
	if m, is := device.(bench.Meter); is {
		return &handMeter{m, d.asked}, err
	}
	return device, err
}

type handMeter struct {
	bench.Meter
	asked *[]bench.ReadRequest
}

func (m *handMeter) About() bench.Identity {
	id := m.Meter.About()
	id.ByHand = true
	return id
}

// Read takes the one reading that is typed.
func (m *handMeter) Read(ctx context.Context, q bench.ReadRequest, take func(bench.Sample) error) error {
	*m.asked = append(*m.asked, q)
	q.Most = 1
	return m.Meter.Read(ctx, q, take)
}

func (m *handMeter) ReadsSpectra() bool             { return m.Meter.(bench.Spectrometer).ReadsSpectra() }
func (m *handMeter) Zero(ctx context.Context) error { return m.Meter.(bench.Zeroer).Zero(ctx) }
func (m *handMeter) Relive(k bench.Kept) error      { return m.Meter.(bench.Reliver).Relive(k) }

// countsRight fails where the numbers of requests are not those of the readings.
func countsRight(t *testing.T, asked []bench.ReadRequest) {
	t.Helper()
	n, last := 0, bench.ReadRequest{}
	ended := func() {
		if last.Of > 0 && (n > last.Of || n < last.Of && !last.OrFewer) {
			t.Errorf("%d readings were taken of %d (or fewer: %v)", n, last.Of, last.OrFewer)
		}
	}
	for i, q := range asked {
		if q.Agree > 0 { // until two agree: nobody knows how many that takes
			continue
		}
		if q.Number == 1 {
			ended()
			n = 0
		}
		if n++; q.Number != n || q.Of < n || n > 1 && (q.Of != last.Of || q.OrFewer != last.OrFewer) {
			t.Fatalf("request %d is reading %d of %d (or fewer: %v); before it %d of %d", i+1, q.Number, q.Of, q.OrFewer, last.Number, last.Of)
		}
		last = q
	}
	if ended(); n == 0 {
		t.Error("no reading was asked for")
	}
}

// TestSteadyByHand: meter.measure asks a person to read once the light no longer changes, where it would watch it itself; meter.read does not.
func TestSteadyByHand(t *testing.T) {
	var out bytes.Buffer
	s := simSpec(t, procedureOf(`patches.show { grey = 1, window = 10 }
run.readings(5)
meter.measure { after = 1 }
meter.measure { after = 0 }
meter.measure { after = 1, settle = 0 }
meter.measure { after = 1, watch = false }
meter.read { after = 1 }
run.readings(4, { at_most = true })
meter.read()`))
	s.Bench, s.Openers = bench.OperatorFile, typedOpeners("100\n101\n102\n103\n104\n105\n", &out, true)
	ran(t, s, journal.Done)
	var asked []string
	for line := range strings.Lines(out.String()) {
		if head, _, is := strings.Cut(line, ", in cd/m²"); is {
			asked = append(asked, head)
		}
	}
	want := []string{"Reading 1 of 5, once it no longer changes, and no sooner than 1 s after the patch is lit", "Reading 2 of 5, once it no longer changes",
		"Reading 3 of 5, 1 s after the patch is lit", "Reading 4 of 5, 1 s after the patch is lit", "Reading 5 of 5, 1 s after the patch is lit", "Reading 1 of at most 4"}
	if d := cmp.Diff(want, asked); d != "" {
		t.Error(d)
	}
}
