package report_test

import (
	"fmt"
	"os"

	"candelua/engine/report"
	"candelua/engine/result"
)

func Example() {
	r := result.New()
	nits, u := 812.4321, 8.13
	_, _ = r.Value(result.Value{Name: "Peak luminance", Value: &nits, Unit: "cd/m2", U: &u})
	sweep, _ := r.Table("Luminance by window", "", []result.Column{{Name: "window", Unit: "%"}, {Name: "luminance", Unit: "cd/m2"}})
	_ = sweep.Add(map[string]any{"window": 10, "luminance": 805.5})
	_ = sweep.Add(map[string]any{"window": 100, "luminance": 98.25})

	if err := report.Terminal(os.Stdout, r, report.Options{}); err != nil {
		fmt.Println(err)
	}
	// Output:
	// value                  ± u    unit
	// Peak luminance  812.4  ± 8.1  cd/m2
	//
	// Luminance by window
	//   window (%)  luminance (cd/m2)
	//    10         805.5
	//   100          98.25
}
