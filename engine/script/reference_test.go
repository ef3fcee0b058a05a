package script

import (
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
)

// reference returns the reference interpreter, Lua 5.1 by its authors, or skips the test.
func reference(t *testing.T) string {
	path, err := exec.LookPath("lua5.1")
	if err != nil && os.Getenv("CI") != "" {
		t.Fatal("lua5.1 is missing: apt-get install lua5.1")
	}
	if err != nil {
		t.Skip("lua5.1 is missing: apt-get install lua5.1; the pinned programs in testdata are checked without it")
	}
	return path
}

// ask runs programs in one process of the reference interpreter.
func ask(t *testing.T, path string, programs []string) []string {
	t.Helper()
	var src strings.Builder
	for _, p := range programs {
		fmt.Fprintf(&src, "print('@@')\nif not pcall(function(...)\n%s\nend) then print('ERROR') end\n", p)
	}
	cmd := exec.Command(path, "-")
	cmd.Stdin = strings.NewReader(src.String())
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("the reference interpreter: %v\n%s", err, out)
	}
	return strings.Split(strings.TrimPrefix(string(out), "@@\n"), "@@\n")
}

// answer runs a program here.
func answer(t testing.TB, src string) string {
	out, err := execute(t, "random.lua", src, Limits{Instructions: 50_000_000})
	if err != nil {
		if e, ok := err.(*Error); ok && e.value != nil {
			return out + "ERROR\n"
		}
		return out + err.Error() + "\n"
	}
	return out
}

// TestRandomPrograms compares random programs with the reference interpreter.
// PROGRAMS=100000 runs more, FIRST=n begins with another one.
func TestRandomPrograms(t *testing.T) {
	path := reference(t)
	count, first := 3000, uint64(0)
	if n, err := strconv.Atoi(os.Getenv("PROGRAMS")); err == nil {
		count = n
	}
	if n, err := strconv.ParseUint(os.Getenv("FIRST"), 10, 64); err == nil {
		first = n
	}
	const batch = 50
	differ := 0
	for ; count > 0 && differ < 5; count -= batch {
		var ours, theirs []string
		for range batch {
			a, b := variants(program(first))
			ours, theirs = append(ours, a), append(theirs, b)
			first++
		}
		for i, want := range ask(t, path, theirs) {
			if got := answer(t, ours[i]); got != want {
				differ++
				t.Errorf("program %d:\n%s\n%s", first-batch+uint64(i), ours[i], firstDifference(got, want))
			}
		}
	}
}

func firstDifference(got, want string) string {
	a, b := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return fmt.Sprintf("line %d of the output: got %q, the reference interpreter gives %q", i+1, a[i], b[i])
		}
	}
	return fmt.Sprintf("got %d lines, the reference interpreter gives %d", len(a), len(b))
}
