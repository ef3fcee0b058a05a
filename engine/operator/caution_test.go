package operator

import (
	"bytes"
	"context"
	"slices"
	"strings"
	"testing"

	"candelua/engine/bench"
)

// Each prompt for something that can do harm says so first, whether it is answered or assumed; a lamp that goes off, and a
// dark patch, need no words.
func TestPromptsCaution(t *testing.T) {
	white := bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 10, Signal: bench.PQ, At: [2]float64{0.5, 0.5}}
	black, sdr := white, white
	black.RGB, sdr.Signal = [3]float64{}, bench.SDR
	for name, c := range map[string]struct {
		ask  func(context.Context, *bench.Bench) error
		want string
	}{
		"lamp": {func(ctx context.Context, b *bench.Bench) error { _, err := b.Rig.Set(ctx, "front", 1); return err }, "Mains voltage, heat, UV, glare: follow the lamp's instructions."},
		"off":  {func(ctx context.Context, b *bench.Bench) error { _, err := b.Rig.Set(ctx, "front", 0); return err }, ""},
		"turn": {func(ctx context.Context, b *bench.Bench) error {
			_, err := b.Rig.(bench.Turner).Turn(ctx, bench.Horizontal, 20)
			return err
		}, "Mind cables and fingers."},
		"place": {func(ctx context.Context, b *bench.Bench) error {
			_, err := b.Rig.(bench.Placer).Place(ctx, [2]float64{0.2, 0.3})
			return err
		}, "Mind the screen, the cable and your fingers."},
		"hdr":   {func(ctx context.Context, b *bench.Bench) error { _, err := b.Patches.Show(ctx, white); return err }, "It can be very bright: do not look into it from near by."},
		"black": {func(ctx context.Context, b *bench.Bench) error { _, err := b.Patches.Show(ctx, black); return err }, ""},
		"sdr":   {func(ctx context.Context, b *bench.Bench) error { _, err := b.Patches.Show(ctx, sdr); return err }, ""},
		"read": {func(ctx context.Context, b *bench.Bench) error {
			return b.Meters["meter"].Read(ctx, bench.ReadRequest{Most: 1}, func(bench.Sample) error { return nil })
		}, "If the meter touches the screen, let it press no harder than the instructions of meter and unit allow."},
	} {
		for _, assumed := range []bool{false, true} {
			var out bytes.Buffer
			openers := bench.Openers{"operator": New(NewConsole(strings.NewReader("200\n\n"), &out), Options{AssumeYes: assumed})}
			b, err := bench.Open(t.Context(), bench.OperatorFile, openers)
			if err == nil {
				err = c.ask(t.Context(), b)
			}
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			lines := strings.Split(out.String(), "\n")
			said := slices.IndexFunc(lines, func(l string) bool { return strings.HasPrefix(l, "Careful: ") })
			if c.want == "" && said >= 0 || c.want != "" && (said < 0 || lines[said] != "Careful: "+lowered(c.want) || said+1 == len(lines)-1 && name != "read") {
				t.Errorf("%s, assumed %v: the prompt is\n%s", name, assumed, out.String())
			}
		}
	}
}
