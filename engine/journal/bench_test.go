package journal

import (
	"os"
	"path/filepath"
	"runtime"
	"testing"
)

// manySteps returns the records of n steps, every second one a reading with this many single readings.
func manySteps(n, readings int) []Record {
	var all []Record
	for i := 1; i <= n; i += 2 {
		all = append(all, showStep(i, float64(i), 10)...)
		all = append(all, readStep(i+1, float64(i), 512.5, readings)...)
	}
	return all
}

func benchmarkAppend(b *testing.B, j *Journal) {
	records := manySteps(10, 0)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		r := records[i%len(records)]
		r.Step = i/2 + 1
		if err := j.Append(r); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAppend(b *testing.B) {
	create := func(b *testing.B, o Options) *Journal {
		j, err := Create(filepath.Join(b.TempDir(), "journal.jsonl"), ternHead, o)
		if err != nil {
			b.Fatal(err)
		}
		b.Cleanup(func() { j.Close() })
		return j
	}
	b.Run("memory", func(b *testing.B) { benchmarkAppend(b, built(b, nil)) })
	b.Run("file", func(b *testing.B) { benchmarkAppend(b, create(b, Options{})) })
	b.Run("file synced", func(b *testing.B) { benchmarkAppend(b, create(b, Options{Sync: true})) })
}

// BenchmarkBareWrite writes the same bytes as BenchmarkAppend without a journal: what cannot be saved.
func BenchmarkBareWrite(b *testing.B) {
	all := lines(built(b, manySteps(10, 0)).data)[1:]
	for _, sync := range []bool{false, true} {
		name := map[bool]string{false: "file", true: "file synced"}[sync]
		b.Run(name, func(b *testing.B) {
			f, err := os.Create(filepath.Join(b.TempDir(), "bare"))
			if err != nil {
				b.Fatal(err)
			}
			defer f.Close()
			for i := 0; b.Loop(); i++ {
				if _, err := f.Write(all[i%len(all)]); err != nil {
					b.Fatal(err)
				}
				if sync && i%2 == 1 { // answers
					if err := f.Sync(); err != nil {
						b.Fatal(err)
					}
				}
			}
		})
	}
}

// BenchmarkLoad reads and verifies 100,000 steps of 2 records each, and then of 7.
func BenchmarkLoad(b *testing.B) {
	for name, readings := range map[string]int{"100000 steps": 0, "100000 steps with 5 samples a reading": 5} {
		b.Run(name, func(b *testing.B) {
			path := saved(b, built(b, manySteps(100000, readings)).data)
			runtime.GC()
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			var j *Journal
			for b.Loop() {
				var err error
				if j, err = Load(path); err != nil {
					b.Fatal(err)
				}
			}
			runtime.GC()
			runtime.ReadMemStats(&after)
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(j.Records()), "ns/record")
			b.ReportMetric(float64(after.HeapAlloc-before.HeapAlloc)/float64(j.Steps()), "B/step")
			b.ReportMetric(float64(len(j.data))/float64(j.Steps()), "file-B/step")
		})
	}
}

// BenchmarkStep reads steps as a replay does.
func BenchmarkStep(b *testing.B) {
	j := built(b, manySteps(1000, 5))
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		if _, err := j.Step(i%1000 + 1); err != nil {
			b.Fatal(err)
		}
	}
}
