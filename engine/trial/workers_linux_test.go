package trial_test

import (
	"syscall"
	"testing"
	"time"

	"candelua/builtins"
	"candelua/engine/trial"
	"candelua/engine/uncertainty"
	"candelua/scripts"
)

// BenchmarkTrialWorkers runs trials as the command does, in turn with one worker and with two. It reports how many times
// as many runs two workers end in a second, and how many times as much processor time a run takes then. The first
// says something on idle cores alone; by the second, two workers can be at best 2 / processor times as quick.
func BenchmarkTrialWorkers(b *testing.B) {
	defer uncertainty.CollectSeldom()()
	for _, name := range []string{"window-sweep", "tone-response", "warm-up"} {
		tr, err := trial.Find(b.Context(), name, scripts.Files)
		if err != nil {
			b.Fatal(err)
		}
		seeds := 20
		if name == "warm-up" {
			seeds = 1
		}
		b.Run(name, func(b *testing.B) {
			var wall, processor [2]float64
			for b.Loop() {
				for i := range wall {
					r := &trial.Runner{Shipped: scripts.Files, Modules: builtins.Modules(), Worlds: worlds, Workers: i + 1, Seeds: seeds}
					began, used := time.Now(), processorTime(b)
					if _, err := r.Run(b.Context(), tr); err != nil {
						b.Fatal(err)
					}
					wall[i] += time.Since(began).Seconds()
					processor[i] += processorTime(b) - used
				}
			}
			b.ReportMetric(wall[0]/wall[1], "times-as-quick")
			b.ReportMetric(processor[1]/processor[0], "times-the-processor")
			b.ReportMetric(processor[0]/wall[0], "cores-of-one-worker")
		})
	}
}

// processorTime is what the process used of it until now, in s.
func processorTime(b *testing.B) float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}
