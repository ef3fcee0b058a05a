package sim_test

import (
	"context"
	"fmt"
	"log"
	"time"

	"candelua/engine/bench"
	"candelua/engine/sim"
)

// A reading on a simulated phone whose brightness somebody forgot to turn up, by a meter
// that is off by as much as its certificate states, and what it should have been.
func Example() {
	params, err := sim.Load("default")
	if err != nil {
		log.Fatal(err)
	}
	ctx := context.Background()
	b, err := bench.Open(ctx, bench.SimFile, bench.Openers{"sim": sim.Opener(params, 1, 0)})
	if err != nil {
		log.Fatal(err)
	}
	defer b.Close()

	white := bench.Patch{RGB: [3]float64{1, 1, 1}, Window: 10, Signal: bench.SDR, At: [2]float64{0.5, 0.5}}
	if _, err := b.Patches.Show(ctx, white); err != nil {
		log.Fatal(err)
	}
	err = b.Meters["meter"].Read(ctx, bench.ReadRequest{Most: 1}, func(s bench.Sample) error {
		fmt.Printf("read %.0f cd/m2 at %v\n", s.Y, s.Began.Round(10*time.Millisecond))
		return nil
	})
	if err != nil {
		log.Fatal(err)
	}

	world, err := sim.New(params, 1, 0)
	if err != nil {
		log.Fatal(err)
	}
	truth, err := world.TruthXYZ(white)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("true %.0f cd/m2\n", truth.Y)
	// Output:
	// read 199 cd/m2 at 120ms
	// true 480 cd/m2
}
