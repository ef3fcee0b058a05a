package engine_test

import (
	"context"
	"fmt"
	"path/filepath"
	"runtime"
	"testing"

	"candelua/builtins"
	"candelua/engine/history"
	"candelua/engine/journal"
	"candelua/engine/play"
	"candelua/engine/procedure"
	"candelua/engine/result"
	"candelua/engine/sandbox"
	"candelua/engine/script"
	"candelua/engine/uncertainty"
	"candelua/scripts"
)

// drawnJob is a run of a shipped procedure on the simulated bench, as it is
// before it draws, and its results.
func drawnJob(b *testing.B, name string, set ...string) (*play.Job, *result.Results) {
	p := shipped(b, name)
	s := simSpec(b, p, set...)
	s.Out = memoryDir(b)
	rep := ran(b, s, journal.Done)
	h := get(history.Read(get(journal.Load(filepath.Join(rep.Path, "journal.jsonl")))(b)))(b)
	return play.NewJob(get(script.Compile(p.File, p.Source, loaderOf(p), builtins.Modules()))(b), h), rep.Results
}

func loaderOf(p *procedure.Procedure) sandbox.Loader {
	return func(name string) (string, []byte, error) {
		src, err := p.Find(name + ".lua")
		return name + ".lua", src, err
	}
}

func drawn(b *testing.B, job *play.Job, base *result.Results, n int) *uncertainty.Drawn {
	d := get(uncertainty.Draw(context.Background(), get(job.Many(false))(b), base, uncertainty.Fixed(n), nil))(b)
	if d.Failed > 0 {
		b.Fatalf("%d of %d draws failed", d.Failed, n)
	}
	return d
}

// BenchmarkDraw is one draw of each shipped procedure with the parameters that it
// has by default, of all cores.
func BenchmarkDraw(b *testing.B) {
	for _, name := range procedure.Shipped(scripts.Files) {
		b.Run(name, func(b *testing.B) {
			job, base := drawnJob(b, name)
			drawn(b, job, base, 1)
			b.ReportAllocs()
			b.ResetTimer()
			drawn(b, job, base, b.N)
			steps := float64(job.History.Journal.Steps())
			b.ReportMetric(steps, "steps")
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/steps, "ns/step")
		})
	}
}

// BenchmarkStart is a procedure that does nothing, started.
func BenchmarkStart(b *testing.B) {
	p := procedureOf("")
	program := get(script.Compile(p.File, p.Source, nil, builtins.Modules()))(b)
	b.ReportAllocs()
	for b.Loop() {
		get(program.Start(context.Background(), script.Host{Results: result.New()}))(b).Close()
	}
}

// BenchmarkDraws is a thousand draws of a run of about 140 steps: what one costs,
// and how much memory is held beyond the numbers that are kept.
func BenchmarkDraws(b *testing.B) {
	job, base := drawnJob(b, "tone-response", "steps=43")
	for _, n := range []int{1000, 10_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			drawn(b, job, base, 1)
			held := 0.0
			b.ReportAllocs()
			b.ResetTimer()
			for range b.N {
				b.StopTimer()
				before := heap()
				b.StartTimer()
				d := drawn(b, job, base, n)
				b.StopTimer()
				held = heap() - before
				runtime.KeepAlive(d)
				b.StartTimer()
			}
			draws, steps := float64(b.N*n), float64(job.History.Journal.Steps())
			b.ReportMetric(steps, "steps")
			b.ReportMetric(b.Elapsed().Seconds()*1e3/float64(b.N)*1000/float64(n), "ms/1000draws")
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/draws/steps, "ns/step")
			b.ReportMetric((held-8*float64(n*numbers(base)))/1024, "kB-held-beyond")
		})
	}
}

// numbers is how many numbers of a run are kept of each draw.
func numbers(r *result.Results) (n int) {
	for _, v := range r.Values() {
		if v.Value != nil && v.Bound == "" {
			n++
		}
	}
	for _, t := range r.Tables() {
		for _, row := range t.Rows() {
			for _, c := range row {
				if _, ok := c.Float(); ok {
					n++
				}
			}
		}
	}
	return n
}

// heap is the bytes in use.
func heap() float64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return float64(m.HeapAlloc)
}
