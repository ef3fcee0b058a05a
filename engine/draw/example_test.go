package draw_test

import (
	"fmt"

	"candelua/engine/draw"
)

// Two televisions on the Tern Street bench, full white, five readings each with
// one meter whose scale is good to 1 %: the luminances are known to 1 %, their
// ratio much better.
func Example() {
	first := reading("fulmar-55 run 1", 351.2, 352.0, 351.6, 350.9, 351.8)
	second := reading("fulmar-55 run 2", 347.1, 346.2, 346.9, 347.4, 346.6)
	// A script would be replayed here; this one records the luminance as it is.
	a, b := replayed(first), replayed(second)
	u, err := draw.Evaluate(a.Estimate, a.Draws)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f ± %.1f cd/m2, by %s\n", u.Estimate, u.U, u.Method)
	ratio, err := draw.Ratio(a, b)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.4f ± %.4f times as bright, significant: %t\n", ratio.Estimate, ratio.U, ratio.Significant)
	budget, err := draw.Explain(a.Estimate, a.Draws, first.Causes(), draw.Scatter)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("most of it from: %v\n", budget.Parts[0].Component)
	// Output:
	// 351.5 ± 3.5 cd/m2, by percentile
	// 1.0134 ± 0.0012 times as bright, significant: true
	// most of it from: scale
}

func reading(run string, luminances ...float64) draw.Reading {
	singles := make([]draw.XYZ, len(luminances))
	for i, y := range luminances {
		singles[i].Y = y
	}
	scatter, err := draw.ScatterOf(singles, draw.Taken{})
	if err != nil {
		panic(err)
	}
	return draw.Reading{
		Mean: draw.MeanOf(singles), Scatter: scatter, Accuracy: draw.Accuracy{Scale: 1},
		Keys: draw.Keys{
			Scale:   draw.NewKey("scale").Text("line-meter 0412").Text("2031-03-01"),
			Scatter: draw.NewKey("scatter").Text(run).Number(2),
		},
	}
}

func replayed(r draw.Reading) draw.Run {
	value := draw.Run{Estimate: r.Mean.Y, Draws: make([]float64, 1000)}
	for i := range value.Draws {
		value.Draws[i] = r.Draw(i).Apply(r.Mean).Y
	}
	return value
}
