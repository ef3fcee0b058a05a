package engine

import (
	"slices"

	"candelua/engine/history"
	"candelua/engine/result"
)

// changes are what each number of rules changed of results. What the rules 4 changed is not among
// them, because an older run is replayed by the rules that it was made by:
//
//   - scripts compute as Lua 5.1 does, and are bounded in bytes in what they hand over; what they do and
//     hold is counted, what objects hold among it, and neither timed nor measured on the heap (sandbox.Limits.Before4)
//   - a script cannot tell a draw from the run: messages have their places in a draw, and a reading
//     has the flags that it had in the run (script.Draws.Before4)
//   - a stimulus that no light has is an error wherever its look or chromaticity is computed, and as a
//     measured primary, and so is a plot of a column of texts
//   - a question to the operator that has no text is an error
//   - readings of a unit that is off are of no patch; readings.csv is not compared by its meaning
//   - a note that limits how far results can be trusted is a doubt, which was called a caution
//   - errors of unknown names and of words that are none of those allowed name what was probably meant
//     (package script)
//   - an angle in degrees is circular in draws; a number that a draw cannot compute misses alone
//   - uncertainties are called repeatability only where a meter's accuracy is not stated
//   - a step that the contract's needs do not name is an error (package script)
//
// The rules 5 changed:
//
//   - how single readings scatter: what is stated at a level, single readings of one stimulus, and the measurement of
//     the dark level count (package draw)
//   - the origin of a value is stated, and never found by comparing numbers; what is computed from readings against which
//     something stands has a remark, and none of it passes; a reading in a table has one in place of a note
//   - exponentials of a regular series of readings follow from each other in stats.decay, which is the same but for
//     roundings, and for another valley where readings do not determine a fit
//   - u_Y, u_X and u_Z of a single reading are what the bench states of its level, where it states noise
//   - intervals: counts and shares have possible values alone, values that follow the readings in steps reach
//     further, no signed value is cut at 0, and an angle that cannot be told has none (package draw)
//   - what rig.lux and operator.ask answer and the shapes of spectra are drawn as stated; where nobody states it, the uncertainty of
//     a value that depends on them is not known, and neither is that of a time (builtins/numbers.go, builtins/spectra.go)
//   - a correction that was made for another meter, unit or kind of panel, or too long ago, is a doubt among the notes (builtins/corrected.go)
//
// The rules 6 changed:
//
//   - what hangs on a doubtful reading through a number that run.decide keeps, or that was rounded to two digits, is found
//   - what is known of an uncertainty that is not wholly known is stated
//   - samples of a spectrum scatter as counts do: a dim one by a larger share than a bright one (builtins/spectra.go)
var changes = []struct {
	rules int
	of    result.Facet
	what  string
}{
	{2, result.OfUncertainty, "uncertainties are drawn differently since rules 2"},
	{3, result.OfWords, "what candelua itself says in notes has other words since rules 3"},
	{6, result.OfUncertainty, "uncertainties are drawn and evaluated differently since rules 6"},
}

// Older is what a replay cannot compare, since the run was made by older rules.
type Older struct {
	Rules       int      // the run's
	Changes     []string // what the rules since changed that shows in this run
	Differences []result.Difference
}

// setOlderApart takes those differences out that follow from rules which changed
// since the run was made; nil where there are none.
func setOlderApart(h *history.Head, all []result.Difference) (rest []result.Difference, older *Older) {
	older = &Older{Rules: h.ByRules()}
	changed := map[result.Facet]string{}
	for _, c := range changes {
		if c.rules > older.Rules {
			changed[c.of] = c.what
		}
	}
	for _, d := range all {
		what, is := changed[d.Of()]
		if !is {
			rest = append(rest, d)
			continue
		}
		older.Differences = append(older.Differences, d)
		if !slices.Contains(older.Changes, what) {
			older.Changes = append(older.Changes, what)
		}
	}
	if len(older.Differences) == 0 {
		return rest, nil
	}
	return rest, older
}
