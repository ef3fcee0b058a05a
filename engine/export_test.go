package engine

import (
	"testing"

	"candelua/engine/uncertainty"
)

// PlanDraws has the draws of runs planned otherwise, during a test.
func PlanDraws(t testing.TB, plan func(n int) uncertainty.Plan) {
	before := budgeted
	budgeted = plan
	t.Cleanup(func() { budgeted = before })
}
