// Package campaign says how much of a long test is run.
//
// Some tests are campaigns: they cut a run at each of its records, or put a
// procedure through a trial with many seeds. Where the environment variable CI is
// not empty they run in full. Without it they run briefly, so that all tests of
// the project end within a minute or two; what is left out is logged.
//
// A brief campaign whose members are independent of each other takes other
// members each day ([Some]), so that all are run over time, by somebody. Any
// member can be run alone by its name, on any day:
//
//	go test ./engine -run 'TestKillAtEveryRecord/parts/record_12'
package campaign

import (
	"flag"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"
)

// Full says whether campaigns are run in full.
func Full() bool { return os.Getenv("CI") != "" }

// Of gives how much of a campaign is run: brief or full. It logs what is left out.
func Of(t testing.TB, brief, full int) int {
	t.Helper()
	if Full() || brief >= full {
		return full
	}
	t.Logf("brief: %d of %d; CI=1 runs all", brief, full)
	return brief
}

// Some gives the members of a campaign that are run. Those are all of them where
// it is full, or where the command line names members of the test t. Otherwise they are
// at most n, which must be above 0, as evenly spread as a stride spreads them, and others
// tomorrow: after len(all)/n days, rounded up, each was among them. It logs how
// many are left out.
func Some[T any](t testing.TB, all []T, n int) []T {
	t.Helper()
	return Part(t, all, n, len(all))
}

// Part is [Some] for a campaign that is long even for its full form: with CI it gives
// at most full of the members, and others tomorrow.
func Part[T any](t testing.TB, all []T, brief, full int) []T {
	t.Helper()
	n := brief
	if Full() {
		n = full
	}
	if n >= len(all) || names(commanded(), t.Name()) {
		return all
	}
	var some []T
	stride := (len(all) + n - 1) / n
	for i := today() % stride; i < len(all); i += stride {
		some = append(some, all[i])
	}
	if Full() {
		t.Logf("%d of %d members; the others are run on other days", len(some), len(all))
	} else {
		t.Logf("brief: %d of %d members; CI=1 runs more, and the others are run on other days", len(some), len(all))
	}
	return some
}

// Numbers gives at most n of the numbers from 0 to of-1, chosen as by [Some].
func Numbers(t testing.TB, of, n int) []int {
	t.Helper()
	return Some(t, To(of), n)
}

// To gives the numbers from 0 to of-1, the members of a campaign that have no names.
func To(of int) []int {
	all := make([]int, of)
	for i := range all {
		all[i] = i
	}
	return all
}

// today counts days, so that it is another number each day.
var today = func() int { return int(time.Now().Unix() / (24 * 60 * 60)) }

// commanded is the pattern of tests to run that the command line gives.
func commanded() string {
	if f := flag.Lookup("test.run"); f != nil {
		return f.Value.String()
	}
	return ""
}

// names says whether a pattern, such as TestX/one, goes on below the test.
func names(pattern, test string) bool {
	return strings.Count(pattern, "/") > strings.Count(test, "/")
}

// Needs skips a test where a program is missing that it needs. With CI that is an error, so that a
// skipped test hides nothing there.
func Needs(t testing.TB, program, install string) {
	t.Helper()
	if _, err := exec.LookPath(program); err == nil {
		return
	}
	if Full() {
		t.Fatalf("%s is missing: %s", program, install)
	}
	t.Skipf("%s is missing: %s", program, install)
}
