package sandbox

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"runtime/debug"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"

	"candelua/testdata/campaign"
)

// reference returns the reference interpreter, Lua 5.1 by its authors, or skips the test.
func reference(t *testing.T) string {
	path, err := exec.LookPath("lua5.1")
	if err != nil && campaign.Full() {
		t.Fatal("lua5.1 is missing: apt-get install lua5.1")
	}
	if err != nil {
		t.Skip("lua5.1 is missing: apt-get install lua5.1; the pinned programs in testdata are checked without it")
	}
	return path
}

// ask runs programs in one process of the reference interpreter, after the prelude.
func ask(t *testing.T, path string, programs []string) []string {
	t.Helper()
	var src strings.Builder
	src.WriteString(prelude)
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

// answers runs programs here, in one machine, as the reference interpreter does.
func answers(t testing.TB, programs []string) (all []string) {
	var out strings.Builder
	m := New(context.Background(), Limits{Instructions: 500_000_000}, func(s string) { out.WriteString(s + "\n") }, 1)
	defer m.Close()
	for i, src := range append([]string{prelude}, programs...) {
		m.Refill()
		proto, err := Compile("random.lua", []byte(src), Limits{})
		if err == nil {
			_, err = m.Call(m.Load(proto), 0)
		}
		switch e, ok := err.(*Error); {
		case ok && e.value != nil:
			out.WriteString("ERROR\n")
		case err != nil:
			out.WriteString(err.Error() + "\n")
		}
		if i > 0 {
			all = append(all, out.String())
		}
		out.Reset()
	}
	return all
}

// answer runs a program here.
func answer(t testing.TB, src string) string {
	out, err := execute(t, "random.lua", src, Limits{Instructions: 500_000_000})
	if err != nil {
		if e, ok := err.(*Error); ok && e.value != nil {
			return out + "ERROR\n"
		}
		return out + err.Error() + "\n"
	}
	return out
}

// TestRandomPrograms compares 100,000 random programs with the reference interpreter, many
// in a process of it. PROGRAMS=n runs others, FIRST=n begins with another one.
func TestRandomPrograms(t *testing.T) {
	path := reference(t)
	before := debug.SetGCPercent(400) // saves a tenth of the time
	t.Cleanup(func() { debug.SetGCPercent(before) })
	count, first := 100_000, uint64(0)
	if campaign.Race {
		count = 300
	}
	chosen := false
	if n, err := strconv.Atoi(os.Getenv("PROGRAMS")); err == nil {
		count, chosen = n, true
	}
	if n, err := strconv.ParseUint(os.Getenv("FIRST"), 10, 64); err == nil {
		first, chosen = n, true
	}
	const batch = 250
	var begins []uint64
	for ; count > 0; count -= batch {
		begins = append(begins, first)
		first += batch
	}
	if !chosen {
		begins = campaign.Some(t, begins, 2)
	}
	var differ atomic.Int64
	for _, first := range begins {
		t.Run(fmt.Sprintf("from %d", first), func(t *testing.T) {
			t.Parallel()
			if differ.Load() < 5 { // enough to look at
				differ.Add(int64(differences(t, path, first, batch)))
			}
		})
	}
}

// TestPinnedPrograms asks the reference interpreter for what the programs that each show one
// difference are pinned to.
func TestPinnedPrograms(t *testing.T) {
	path := reference(t)
	text, err := os.ReadFile("testdata/programs/lua51.txt")
	if err != nil {
		t.Fatal(err)
	}
	for piece := range strings.SplitSeq(string(text), "\n=====\n") {
		src, want, _ := strings.Cut(piece, "\n-----\n")
		cmd := exec.Command(path, "-")
		cmd.Stdin = strings.NewReader(src)
		out, err := cmd.CombinedOutput()
		if got := string(out); err != nil || strings.TrimSpace(got) != strings.TrimSpace(want) {
			t.Errorf("%s\n%v: %s", src, err, firstDifference(want, got))
		}
	}
}

// differences counts the random programs, of so many from one on, that print other
// than with the reference interpreter, and shows them.
func differences(t *testing.T, path string, first uint64, count int) (differ int) {
	t.Helper()
	var ours, theirs []string
	for i := range uint64(count) {
		a, b := variants(program(first + i))
		ours, theirs = append(ours, a), append(theirs, b)
	}
	got := answers(t, ours)
	for i, want := range ask(t, path, theirs) {
		if got[i] != want {
			differ++
			t.Errorf("program %d:\n%s\n%s", first+uint64(i), ours[i], firstDifference(got[i], want))
		}
	}
	return differ
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

// TestRandomStrings compares patterns and formats with the reference interpreter.
func TestRandomStrings(t *testing.T) {
	path := reference(t)
	r := rand.New(rand.NewPCG(3, 3))
	one := func(list ...string) string { return list[r.IntN(len(list))] }
	item := func() string {
		return one("a", "b", ".", "%a", "%d", "%s", "%w", "%A", "%x", "%p", "[ab]", "[^a]", "[a-c%d]", "[]x]", "[^]]", "%.", "%-", "-", "x", "%z") +
			one("", "", "*", "+", "-", "?")
	}
	pattern := func() string {
		p := one("", "", "^")
		for range 1 + r.IntN(4) {
			p += one(item(), item(), item(), "("+item()+")", "("+item()+item()+")", "()", "%b()", "%f[%w]", "%1", "$", "(", ")", "%", "[")
		}
		return p + one("", "", "$")
	}
	text := func() string {
		s := ""
		for range r.IntN(12) {
			s += one("a", "b", "c", "x", "1", "2", " ", "(", ")", "-", ".", "]", "ab", "_", "aa")
		}
		return s
	}
	number := func() string {
		return one("0", "1", "-1", "1.5", "-2.25", "1e10", "-1e15", "123456789", "0.1", "1e-7", "1e300", "255", "3.999", "1/3", "2^31", "1/0", "-1/0")
	}
	numeral := func() string {
		return one("", " ", "-", "+", " -", "+-") + one("1", "0x", "0X1", "1e", ".", "12", "1.5", "0x.", "inf", "nan", "0xf", "ff", "zz", "") + one("", "5", "f", "e1", " ", "p3", "p-2", ".8", "inity", "e+", "g", "(1)")
	}
	var programs []string
	for range 60 {
		var b strings.Builder
		b.WriteString("local function try(f, ...) local r = { pcall(f, ...) } if not r[1] then print('error') return end for i = 2, 8 do r[i] = tostring(r[i]) end print(table.concat(r, '|', 2, 8)) end\n")
		for range 100 {
			p, s := pattern(), text()
			fmt.Fprintf(&b, "try(string.find, '%s', '%s', %d)\n", s, p, r.IntN(8)-3)
			fmt.Fprintf(&b, "try(string.match, '%s', '%s')\n", s, p)
			fmt.Fprintf(&b, "try(string.gsub, '%s', '%s', '%s', %s)\n", s, p, one("<%0>", "", "%1", "%%", "z"), one("nil", "1", "2"))
			fmt.Fprintf(&b, "try(function() local n = 0 for a, b in ('%s'):gmatch('%s') do n = n + 1 print(a, b) if n > 20 then break end end end)\n", s, p)
			verb := "%" + one("", "-", "+", " ", "0", "#", "-+", "+0") + one("", "5", "12", "1") + one("", ".0", ".3", ".10")
			fmt.Fprintf(&b, "try(string.format, '%s|%s', %s, %s)\n", verb+one("d", "i", "x", "X", "o", "u"), verb+one("e", "E", "f", "g", "G"), one("0", "1", "255", "77777", "2^31"), number())
			fmt.Fprintf(&b, "try(function(s) local n = tonumber(s) return n == n and n or 'nan' end, '%s') try(tonumber, '%s', %s)\n", numeral(), numeral(), one("2", "8", "16", "16", "36"))
			fmt.Fprintf(&b, "try(string.sub, '%s', %d, %d) try(string.byte, '%s', %d, %d)\n", s, r.IntN(20)-10, r.IntN(20)-10, s, r.IntN(10)-5, r.IntN(10)-5)
		}
		programs = append(programs, b.String())
	}
	programs = campaign.Some(t, programs, 6)
	for i, want := range ask(t, path, programs) {
		if got := answer(t, programs[i]); got != want {
			t.Errorf("%s", explainDifference(programs[i], got, want))
		}
	}
}

func explainDifference(program, got, want string) string {
	if len(program) > 100 {
		program = program[:100] + "…"
	}
	return program + "\n" + firstDifference(got, want)
}
