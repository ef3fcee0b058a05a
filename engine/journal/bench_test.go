package journal

import (
	"bytes"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"testing"
	"time"
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

// BenchmarkAppendOverBare appends a step's records to a journal that syncs, and
// writes the same bytes to a plain file with the same syncs, in turn, so that
// both see the same disk. It reports the ratio of the
// medians, since a single sync may take ten times as long as another.
func BenchmarkAppendOverBare(b *testing.B) {
	j, err := Create(filepath.Join(b.TempDir(), "journal.jsonl"), ternHead, Options{Sync: true})
	if err != nil {
		b.Fatal(err)
	}
	defer j.Close()
	f, err := os.Create(filepath.Join(b.TempDir(), "bare"))
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	records := manySteps(2, 0)
	var journal, bare []time.Duration
	for n := 1; b.Loop(); n++ {
		began, from := time.Now(), len(j.data)
		for _, r := range records[:2] { // an ask and its answer
			r.Step = n
			if err := j.Append(r); err != nil {
				b.Fatal(err)
			}
		}
		between := time.Now()
		text := j.data[from:]
		ask := bytes.IndexByte(text, '\n') + 1
		for _, line := range [][]byte{text[:ask], text[ask:]} {
			if _, err := f.Write(line); err != nil {
				b.Fatal(err)
			}
		}
		if err := f.Sync(); err != nil {
			b.Fatal(err)
		}
		journal, bare = append(journal, between.Sub(began)), append(bare, time.Since(between))
	}
	slices.Sort(journal)
	slices.Sort(bare)
	middle := len(bare) / 2
	b.ReportMetric(float64(journal[middle])/float64(bare[middle]), "x-bare")
	b.ReportMetric(float64(bare[middle].Nanoseconds()), "bare-ns/step")
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
