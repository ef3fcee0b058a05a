package engine

import (
	"context"

	"candelua/engine/caution"
	"candelua/engine/play"
	"candelua/engine/procedure"
)

// accept has cautions shown and accepted.
func (s *Setup) accept(ctx context.Context, all []caution.Caution, simulated bool) error {
	if s.Accept == nil || len(all) == 0 {
		return nil
	}
	return s.Accept(ctx, all, simulated)
}

// told tells a job which cautions were shown, and what to do with others.
func (s *Setup) told(job *play.Job, shown []caution.Caution) {
	for _, c := range shown {
		job.Told = append(job.Told, c.Kind)
	}
	if s.Accept != nil {
		job.Caution = func(ctx context.Context, all []caution.Caution) error { return s.Accept(ctx, all, false) }
	}
}

// cautionsOf are those of a procedure with the parameters that a run keeps. Where they do not fit the procedure, which is told
// later, none is left out.
func cautionsOf(loaded *procedure.Loaded, kept map[string]any) []caution.Caution {
	params, err := loaded.Contract.Restore(kept)
	if err != nil {
		return loaded.Cautions()
	}
	return loaded.CautionsWith(params)
}

func kindsOf(all []caution.Caution) []string {
	var kinds []string
	for _, c := range all {
		kinds = append(kinds, string(c.Kind))
	}
	return kinds
}
