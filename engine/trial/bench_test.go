package trial_test

import (
	"fmt"
	"testing"

	"candelua/builtins"
	"candelua/engine/trial"
	"candelua/scripts"
)

// BenchmarkTrial runs the shipped procedures with 20 seeds in one world.
func BenchmarkTrial(b *testing.B) {
	for _, name := range []string{"window-sweep", "tone-response"} {
		tr, err := trial.Find(b.Context(), name, scripts.Files)
		if err != nil {
			b.Fatal(err)
		}
		tr.Worlds = tr.Worlds[:1]
		for _, workers := range []int{1, 2} {
			b.Run(fmt.Sprintf("%s/workers=%d", name, workers), func(b *testing.B) {
				r := &trial.Runner{Shipped: scripts.Files, Modules: builtins.Modules(), Worlds: worlds, Workers: workers, Seeds: 20}
				for b.Loop() {
					if _, err := r.Run(b.Context(), tr); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(float64(20*b.N)/b.Elapsed().Seconds(), "runs/s")
			})
		}
	}
}
