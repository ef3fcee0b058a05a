package campaign

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// listener is a test that is logged to.
type listener struct {
	testing.TB
	logged []string
}

func (*listener) Helper()      {}
func (*listener) Name() string { return "TestX" }
func (l *listener) Logf(format string, args ...any) {
	l.logged = append(l.logged, fmt.Sprintf(format, args...))
}

func TestOf(t *testing.T) {
	for _, c := range []struct {
		flag        string
		brief, full int
		want        int
		logged      string
	}{
		{"", 3, 20, 3, "brief: 3 of 20; CI=1 runs all"},
		{"", 20, 5, 5, ""}, // never more than all
		{"true", 3, 20, 20, ""},
		{"false", 3, 20, 20, ""}, // whatever it says
	} {
		t.Setenv("CI", c.flag)
		l := &listener{}
		if got := Of(l, c.brief, c.full); got != c.want || strings.Join(l.logged, "\n") != c.logged {
			t.Errorf("with CI=%s, %d of %d: %d, logged %q; want %d, %q", c.flag, c.brief, c.full, got, l.logged, c.want, c.logged)
		}
		if Full() != (c.flag != "") {
			t.Errorf("with CI=%s campaigns are full: %v", c.flag, Full())
		}
	}
}

// Over as many days as the stride is long each member is run once.
func TestSomeOverDays(t *testing.T) {
	t.Setenv("CI", "")
	defer func(was func() int) { today = was }(today)
	for of := 1; of < 30; of++ {
		all := make([]int, of)
		for i := range all {
			all[i] = i
		}
		for n := 1; n <= of+1; n++ {
			var seen []int
			stride := (of + n - 1) / n
			for day := range stride {
				today = func() int { return 20_000 + day }
				l := &listener{}
				some := Some(l, all, n)
				if len(some) > n || (len(l.logged) > 0) != (len(some) < of) {
					t.Fatalf("%d of %d: %v, logged %q", n, of, some, l.logged)
				}
				seen = append(seen, some...)
			}
			slices.Sort(seen)
			if !slices.Equal(seen, all) {
				t.Errorf("%d of %d: over %d days these are run: %v", n, of, stride, seen)
			}
		}
	}
}

func TestSomeIsAllInFull(t *testing.T) {
	t.Setenv("CI", "true")
	if got := Some(&listener{}, []string{"a", "b", "c"}, 1); len(got) != 3 {
		t.Errorf("in full only %q are run", got)
	}
}

func TestNumbers(t *testing.T) {
	defer func(was func() int) { today = was }(today)
	today = func() int { return 20_001 } // the second day of two
	t.Setenv("CI", "")
	if got := Numbers(&listener{}, 5, 3); !slices.Equal(got, []int{1, 3}) {
		t.Errorf("3 of 5 are %v, want 1 and 3", got)
	}
	t.Setenv("CI", "true")
	if got := Numbers(&listener{}, 3, 1); !slices.Equal(got, []int{0, 1, 2}) {
		t.Errorf("in full they are %v", got)
	}
}

// A member that the command line names is among those that are run.
func TestNames(t *testing.T) {
	for _, c := range []struct {
		pattern, test string
		want          bool
	}{
		{"", "TestX", false},
		{"TestX", "TestX", false},
		{"TestX|TestY", "TestX", false},
		{"TestX/one", "TestX", true},
		{"TestX/one", "TestX/one", false},
		{"TestX/one/record_12", "TestX/one", true},
	} {
		if got := names(c.pattern, c.test); got != c.want {
			t.Errorf("%q names a member of %s: %v, want %v", c.pattern, c.test, got, c.want)
		}
	}
}

// Part takes each member on one of as many days as its stride is long, with CI or without.
func TestPart(t *testing.T) {
	defer func(was func() int) { today = was }(today)
	for _, ci := range []string{"", "true"} {
		t.Setenv("CI", ci)
		for of := 1; of < 20; of++ {
			all := make([]int, of)
			for i := range all {
				all[i] = i
			}
			for n := 1; n < 6; n++ {
				brief, full := n, n+2
				if ci != "" {
					brief, full = n+2, n
				}
				var seen []int
				for day := range (of + n - 1) / n {
					today = func() int { return 20_000 + day }
					l := &listener{}
					some := Part(l, all, brief, full)
					if len(some) > n || (len(l.logged) > 0) != (len(some) < of) {
						t.Fatalf("%d of %d with CI=%s: %v, logged %q", n, of, ci, some, l.logged)
					}
					seen = append(seen, some...)
				}
				slices.Sort(seen)
				if !slices.Equal(seen, all) {
					t.Errorf("of %d at most %d with CI=%s gives %v over all days", of, n, ci, seen)
				}
			}
		}
	}
}
