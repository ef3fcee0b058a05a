package engine_test

import (
	"context"
	"fmt"
	"os"
	"runtime"
	"testing"

	"candelua/builtins"
	"candelua/engine/bench"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/script"
)

// hourly shows and reads 3,600 times, a second each.
const hourly = `for i = 1, 3600 do
patches.show { grey = i % 2, window = 10 }
meter.read { repeats = 2 }
end`

// BenchmarkWholeRun is a rehearsal of an hour, with its folder.
func BenchmarkWholeRun(b *testing.B) {
	for b.Loop() {
		s := simSpec(b, procedureOf(hourly))
		s.Out = memoryDir(b)
		rep := ran(b, s, journal.Done)
		b.ReportMetric(float64(rep.Steps), "steps")
	}
}

// BenchmarkReplay is a replay of that run, with the compilation of its script.
func BenchmarkReplay(b *testing.B) {
	s := simSpec(b, procedureOf(hourly))
	s.Out = memoryDir(b)
	rep := ran(b, s, journal.Done)
	for b.Loop() {
		replayed(b, rep.Path, journal.Done)
	}
}

// BenchmarkReplayLong replays 100,000 steps but one, a third of them readings, from
// a journal that is open already. It reports what a step takes, what it allocates,
// and by how much the heap is larger for each while the outcome is held.
func BenchmarkReplayLong(b *testing.B) {
	const steps = 99_999
	p := procedureOf(fmt.Sprintf("for i = 1, %d do\npatches.show { grey = i %% 2, window = 10 }\nmeter.read()\nclock.wait(0.1)\nend", 33_333))
	job := jobOf(b, get(script.Compile(p.File, p.Source, nil, builtins.Modules()))(b), false)
	if out := get(job.Execute(context.Background()))(b); out.Status != journal.Done || job.History.Journal.Steps() != steps {
		b.Fatal(out.Status, out.Err, job.History.Journal.Steps())
	}
	var before, after runtime.MemStats
	var retained, allocated float64
	for b.Loop() {
		b.StopTimer()
		runtime.GC()
		runtime.ReadMemStats(&before)
		b.StartTimer()
		out := get(job.Replay(context.Background()))(b)
		b.StopTimer()
		runtime.ReadMemStats(&after)
		allocated = float64(after.TotalAlloc - before.TotalAlloc)
		runtime.GC()
		runtime.ReadMemStats(&after)
		retained = float64(after.HeapAlloc) - float64(before.HeapAlloc)
		if out.Status != journal.Done || out.Steps != steps {
			b.Fatal(out.Err)
		}
		b.StartTimer()
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/steps, "ns/step")
	b.ReportMetric(allocated/steps, "B-allocated/step")
	b.ReportMetric(retained/steps, "B-retained/step")
	b.ReportMetric(float64(job.History.Journal.Size())/steps, "journal-B/step") // in memory too
}

// BenchmarkStep is what one step costs: live, live and synced, and replayed.
func BenchmarkStep(b *testing.B) {
	for _, step := range []string{`clock.wait(1)`, `patches.show { grey = i % 2, window = 10 }`, `meter.read()`} {
		p := func(n int) *script.Program {
			p := procedureOf(fmt.Sprintf("for i = 1, %d do %s end", n, step))
			return get(script.Compile(p.File, p.Source, nil, builtins.Modules()))(b)
		}
		chunks := func(b *testing.B, do func(b *testing.B, n int)) { // no run of simulated days
			for left := b.N; left > 0; left -= 10_000 {
				do(b, min(left, 10_000))
			}
		}
		for _, sync := range []bool{false, true} {
			name := map[bool]string{false: "live", true: "synced"}[sync]
			b.Run(step[:10]+"/"+name, func(b *testing.B) {
				chunks(b, func(b *testing.B, n int) {
					job := jobOf(b, p(n), sync)
					if out := get(job.Execute(context.Background()))(b); out.Status != journal.Done {
						b.Fatal(out.Err)
					}
				})
			})
		}
		b.Run(step[:10]+"/replayed", func(b *testing.B) {
			chunks(b, func(b *testing.B, n int) {
				b.StopTimer()
				job := jobOf(b, p(n), false)
				get(job.Execute(context.Background()))(b)
				b.StartTimer()
				if out := get(job.Replay(context.Background()))(b); out.Status != journal.Done {
					b.Fatal(out.Err)
				}
			})
		})
	}
}

// jobOf is a job on the simulated bench whose journal is a file. Where it
// syncs, that is on a disk.
func jobOf(b *testing.B, p *script.Program, sync bool) *play.Job {
	dir := b.TempDir()
	h := history.Head{Simulated: false}
	j := get(journal.Create(dir+string(os.PathSeparator)+"journal.jsonl", h, journal.Options{Sync: sync}))(b)
	b.Cleanup(func() { must(b, j.Close()) })
	job := play.NewJob(p, get(history.Read(j))(b))
	job.Open = func(ctx context.Context) (*bench.Bench, error) { return bench.Open(ctx, bench.SimFile, simOpeners()) }
	return job
}
