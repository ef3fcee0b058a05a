package check

import (
	"cmp"
	"fmt"
	"slices"

	"candelua/engine/syntax"
)

// Level says how bad a finding is. Hints do not count against a file.
type Level string

// The levels.
const (
	Error   Level = "error"
	Warning Level = "warning"
	Hint    Level = "hint"
)

// Finding is one thing that is probably wrong.
type Finding struct {
	File    string `json:"file"`
	Line    int    `json:"line"`
	Column  int    `json:"column"`
	Level   Level  `json:"level"`
	Name    string `json:"name"` // stable, for -- as meant
	Text    string `json:"text"` // one sentence, without its full stop
	Suggest string `json:"suggest,omitempty"`
}

// String is the finding on one line, without what it suggests.
func (f Finding) String() string {
	return fmt.Sprintf("%s:%d:%d: %s: %s (%s)", f.File, f.Line, f.Column, f.Level, f.Text, f.Name)
}

// Counts says whether a finding is more than a hint.
func (f Finding) Counts() bool { return f.Level != Hint }

// Stops says whether the file cannot even be loaded for it: a run ends with the same error before it begins.
func (f Finding) Stops() bool {
	return f.Level == Error && slices.Contains([]string{notLua, otherDialect, notCompiled, notLoaded, nothingReturned, wrongField, stepWhileLoading, noSuchLibrary}, f.Name)
}

// Kinds of findings, by their names.
const (
	notLua          = "not-lua"
	otherDialect    = "other-dialect"
	notCompiled     = "not-compiled"
	notLoaded       = "not-loaded"
	nothingReturned = "nothing-returned"

	noSuchName     = "no-such-name"
	noSuchFunction = "no-such-function"
	noSuchField    = "no-such-field"
	noSuchParam    = "no-such-parameter"
	noSuchLibrary  = "no-such-library"
	noSuchColumn   = "no-such-column"
	noSuchUnit     = "no-such-unit"
	noSuchValue    = "no-such-value"
	madeGlobal     = "made-global"
	neverRead      = "never-read"
	paramNeverRead = "parameter-never-read"
	hidesAnother   = "hides-another"
	hidesModule    = "hides-a-module"
	noValueYet     = "no-value-yet"
	neverEnds      = "never-ends"
	neverRuns      = "never-runs"
	neverEqual     = "never-equal"
	endMissed      = "end-missed"
	goesOnce       = "goes-once"
	placeZero      = "place-zero"
	timeForTick    = "time-for-tick"
	listWithHoles  = "list-with-holes"
	returnsNothing = "returns-nothing"

	wrongArgument   = "wrong-argument"
	noSuchArgument  = "no-such-argument"
	argumentLeftOut = "argument-left-out"
	tooManyArgs     = "too-many-arguments"
	dotForColon     = "dot-for-colon"
	colonForDot     = "colon-for-dot"
	notAFunction    = "not-a-function"
	resultDropped   = "result-dropped"
	namesNotListed  = "names-not-listed"

	wrongField       = "wrong-field"
	needNotStated    = "need-not-stated"
	stepWhileLoading = "step-while-loading"
	nothingRecorded  = "nothing-recorded"
	idTwice          = "id-twice"
	idInLoop         = "id-in-loop"
	unitLeftOut      = "unit-left-out"
	unitDiffers      = "unit-differs"
	unitsMixed       = "units-mixed"
	shareForPercent  = "share-for-percent"
	textAndNumber    = "text-and-number"
	objectAsNumber   = "object-as-number"
	steeredByReading = "steered-by-reading"
	readBeforePatch  = "read-before-patch"

	chromaticityRatio = "chromaticity-ratio"
	cannotFail        = "cannot-fail"

	silencedWithout = "silenced-without-reason"
	silencedNothing = "silenced-nothing"
)

// Kinds of findings that only an execution makes, by package rehearse.
const (
	FailsWhenRun      = "fails-when-run"
	FlashingNotStated = "flashing-not-stated"
	ReadBeforePatch   = readBeforePatch
	CautionLeftOut    = "caution-left-out"
	SteeredWhenRun    = "steered-when-run"
	ScatterOverU      = "scatter-over-u"
)

// whenRun are those that are not made without an execution.
var whenRun = []string{FailsWhenRun, FlashingNotStated, CautionLeftOut, SteeredWhenRun, ScatterOverU}

// About says of each kind of finding what it is about.
var About = map[string]string{
	notLua: "the file is not Lua 5.1", otherDialect: "a sign or word of another language or version",
	notCompiled: "the interpreter refuses the file", notLoaded: "the file cannot be loaded, or declares something wrongly",
	nothingReturned: "the file does not return what it declares",
	noSuchName:      "a variable or module that is not there", noSuchFunction: "a function that a module or library does not have",
	noSuchField: "a field that an object or table does not have", noSuchParam: "a parameter that the procedure does not declare",
	noSuchLibrary: "a library that require does not find", noSuchColumn: "a column that the table does not have",
	noSuchUnit: "a unit that the trade does not use", noSuchValue: "a value that the procedure does not record",
	madeGlobal: "a variable that is made without local", neverRead: "a variable or function that nothing uses",
	paramNeverRead: "a parameter that the procedure never uses", hidesAnother: "a variable that hides another one",
	hidesModule: "a variable that hides a module", noValueYet: "a variable that never gets a value",
	neverEnds: "a loop without an end", neverRuns: "a loop that is never entered", neverEqual: "a comparison that is never true",
	endMissed: "a loop in fractions that ends a step too early", goesOnce: "a schedule with one tick only", placeZero: "a list that is read at place 0", timeForTick: "the number of a tick that is named as a time",
	listWithHoles:     "a list with empty places whose length is asked for",
	chromaticityRatio: "a ratio of chromaticities where luminance is meant", cannotFail: "an expectation of a trial that any value meets",
	returnsNothing: "a result that a function does not return",
	wrongArgument:  "an argument of a wrong type, or outside its range", noSuchArgument: "an argument that the function does not have",
	argumentLeftOut: "an argument that is missing", tooManyArgs: "more arguments than the function takes",
	dotForColon: "a method that is called with a dot", colonForDot: "a function that is called with a colon",
	notAFunction: "a call of what is no function", resultDropped: "a computed result that nothing uses",
	namesNotListed: "ipairs or # of a table that has only names",
	wrongField:     "a field of procedure, params, trial or driver that is wrong", needNotStated: "a device or ability that needs do not state",
	stepWhileLoading: "a step outside of run", nothingRecorded: "a procedure without results",
	idTwice: "two results with the same id", idInLoop: "a result with the same id in each round of a loop",
	unitLeftOut: "a quantity without its unit", unitDiffers: "a quantity with another unit than its own",
	unitsMixed: "quantities of different units that are added or compared", shareForPercent: "a share of 1 where percent is wanted",
	textAndNumber: "a number that is compared with a text, or computed with one", objectAsNumber: "a reading or a table where a number is wanted",
	steeredByReading: "steps that depend on a reading without run.decide", readBeforePatch: "a reading before any patch",
	FailsWhenRun: "--run: an execution on the simulated bench that fails", FlashingNotStated: "--run: flashes of which the contract does not say why",
	CautionLeftOut: "--run: a long or very bright picture without a caution in the contract",
	SteeredWhenRun: "--run: steps that are others if the readings are others, without run.decide", ScatterOverU: "--run --seeds: a value that scatters more than it states",
	silencedWithout: "a comment that silences without a reason", silencedNothing: "a comment that silences nothing",
}

// Names are the names of all kinds, sorted.
func Names() []string {
	var names []string
	for n := range About {
		names = append(names, n)
	}
	slices.Sort(names)
	return names
}

// add notes a finding of this pass.
func (c *checker) add(level Level, name string, at syntax.Pos, suggest, format string, args ...any) {
	if !c.final || c.quiet {
		return
	}
	f := Finding{File: c.file, Line: max(at.Line, 1), Column: max(at.Column, 1), Level: level, Name: name, Text: fmt.Sprintf(format, args...), Suggest: suggest}
	if !slices.Contains(c.found, f) {
		c.found = append(c.found, f)
	}
}

func sortFindings(all []Finding) {
	slices.SortStableFunc(all, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column), cmp.Compare(a.Name, b.Name))
	})
}
