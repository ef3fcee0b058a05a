package engine_test

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"candelua/engine/bench"
	"candelua/engine/journal"
)

const switched = `
    patches.show { grey = 1, window = 10 }
    local warm = meter.read({ after = 2, repeats = 5 }).Y
    unit.off()
    local dark = meter.read().Y
    clock.wait(7200)
    unit.on()
    local cold = meter.read({ repeats = 5 }).Y
    record.value { name = "Cooled", value = 100 * (cold / warm - 1), unit = "%" }
    record.value { name = "Dark", value = dark < 0.01 and 1 or 0 }`

// TestPower switches the unit off, which goes dark and cools down, and on again;
// wherever it is cut off, it comes to the same.
func TestPower(t *testing.T) {
	s := simSpec(t, procedureOf(switched))
	w := wholeRun(t, s)
	rep := replayed(t, w.path, journal.Done)
	if v := *rep.Results.Values()[0].Value; v < 1 || v > 5 { // the default world's warm-up is 3.3 %
		t.Errorf("it is %v %% brighter cold than warm", v)
	}
	if *rep.Results.Values()[1].Value != 1 {
		t.Error("switched off, it is not dark")
	}
	ends := lineEnds(w.journal)
	for _, end := range ends[:len(ends)-1] {
		path := copied(t, w.path, w.journal[:end])
		resumed(t, path, journal.Done)
		w.equals(t, path, "cut")
	}
}

// TestPowerByHand tells a person, and refuses a unit that cannot.
func TestPowerByHand(t *testing.T) {
	s := simSpec(t, procedureOf(`unit.off() unit.on()`))
	said := &bytes.Buffer{}
	s.Bench, s.Openers = bench.OperatorFile, typedOpeners("\n\n", said, false)
	ran(t, s, journal.Done)
	has(t, said.String(), "Please switch the unit off", "Please switch the unit on")

	s = simSpec(t, procedureOf(`unit.off()`))
	s.Openers = bench.Openers{"sim": func() (bench.Driver, error) {
		d, err := simOpeners()["sim"]()
		return plainUnits{d}, err
	}}
	rep := ran(t, s, journal.Paused)
	if !strings.Contains(rep.Err.Error(), "the unit cannot be switched off and on") {
		t.Errorf("paused with %v", rep.Err)
	}
}

// plainUnits have nothing but settings.
type plainUnits struct{ bench.Driver }

func (d plainUnits) Open(ctx context.Context, k bench.Kind, s bench.Section) (bench.Device, error) {
	device, err := d.Driver.Open(ctx, k, s)
	if u, ok := device.(bench.Unit); ok && k == bench.KindUnit {
		return struct{ bench.Unit }{u}, err
	}
	return device, err
}

func (d plainUnits) Clock() bench.Clock { return d.Driver.(bench.Clocked).Clock() }
