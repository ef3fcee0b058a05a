package draw

import "testing"

var sink float64

func BenchmarkUniform(b *testing.B) { benchNumbers(b, NewKey("k").uniform) }
func BenchmarkNormal(b *testing.B)  { benchNumbers(b, NewKey("k").normal) }
func BenchmarkT(b *testing.B)       { benchNumbers(b, student(NewKey("k"), 4)) }

func benchNumbers(b *testing.B, at func(int) float64) {
	b.ReportAllocs()
	sum := 0.
	for i := range b.N {
		sum += at(i)
	}
	sink = sum
}

func BenchmarkKey(b *testing.B) {
	b.ReportAllocs()
	for i := range b.N {
		sink += NewKey("scatter").Text("2031-04-02 crake 1").Number(i).uniform(0)
	}
}

// A reading of five with everything that can be drawn.
func BenchmarkReading(b *testing.B) {
	r := fullReading()
	b.ReportAllocs()
	for i := range b.N {
		d := r.draw(i)
		for _, s := range fewSingles {
			sink += d.Apply(s).Y
		}
	}
}

func BenchmarkEvaluate(b *testing.B) {
	draws := numbers(1000, func(i int) float64 { return 100 + NewKey("k").normal(i) })
	b.ReportAllocs()
	for range b.N {
		u, err := Evaluate(100, draws)
		if err != nil {
			b.Fatal(err)
		}
		sink += u.U
	}
}

func BenchmarkDifference(b *testing.B) {
	a := Run{100, numbers(1000, func(i int) float64 { return 100 + NewKey("a").normal(i) })}
	c := Run{101, numbers(1000, func(i int) float64 { return 101 + NewKey("b").normal(i) })}
	b.ReportAllocs()
	for range b.N {
		d, err := Difference(a, c)
		if err != nil {
			b.Fatal(err)
		}
		sink += d.U
	}
}

func BenchmarkExplain(b *testing.B) {
	r := fullReading()
	draws := numbers(1000, func(i int) float64 { return r.draw(i).Apply(r.Mean).Y })
	b.ReportAllocs()
	for range b.N {
		p, err := Explain(r.Mean.Y, draws, r.causes(), Scatter)
		if err != nil {
			b.Fatal(err)
		}
		sink += p.Together
	}
}
