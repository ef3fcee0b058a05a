package result_test

import (
	"fmt"

	"candelua/engine/result"
)

func Example() {
	r := result.New()
	sweep, _ := r.Table("Luminance by window", "", []result.Column{{Name: "window", Unit: "%"}, {Name: "luminance", Unit: "cd/m2"}})
	_ = sweep.Add(map[string]any{"window": 10, "luminance": 805.5})
	_ = sweep.Add(map[string]any{"window": 100, "luminance": 198.2})

	small, _ := sweep.At("luminance", map[string]any{"window": 10})
	nits, _ := small.Float()
	least := 900.0
	v, _ := r.Value(result.Value{Name: "Luminance, 10 % window", Value: &nits, Unit: "cd/m2", Tolerance: &result.Tolerance{Min: &least}})
	fmt.Println(v.ID, v.Finding)

	_, err := sweep.At("lumninance", map[string]any{"window": 10})
	fmt.Println(err)
	// Output:
	// luminance-10-window fail
	// table "Luminance by window" has no column "lumninance"; did you mean "luminance"?
}
