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
	a, b := replayed(first, 351.5), replayed(second, 346.84)
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

// reading enters step 2 of a run, a mean of some luminances, on the run's sheet.
func reading(run string, luminances ...float64) *draw.Sheet {
	singles := make([]draw.XYZ, len(luminances))
	for i, y := range luminances {
		singles[i].Y = y
	}
	const meter = "line-meter 0412"
	var sheet draw.Sheet
	sheet.Enter(2, 0, meter, singles, draw.Taken{}, draw.Reading{
		Mean: draw.MeanOf(singles), Accuracy: draw.Accuracy{Scale: 1},
		Keys: draw.Keys{
			Scale:   draw.NewKey("scale").Text(meter).Text("2031-03-01"),
			Scatter: draw.NewKey("scatter").Text(run).Number(2),
		},
	})
	return &sheet
}

func replayed(sheet *draw.Sheet, luminance float64) draw.Run {
	value := draw.Run{Estimate: luminance, Draws: make([]float64, 1000)}
	for i := range value.Draws {
		moved, _ := sheet.Draw(2, 0, i)
		value.Draws[i] = moved.Apply(draw.XYZ{Y: luminance}).Y
	}
	return value
}
