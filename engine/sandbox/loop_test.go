package sandbox

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	lua "github.com/yuin/gopher-lua"

	"candelua/testdata/campaign"
)

// worked is what a program prints by one of the loops, how it ends, and how much it works.
func worked(t *testing.T, name, src string, lim Limits, take func(*lua.LState)) string {
	t.Helper()
	before := takeLoop
	takeLoop = take
	defer func() { takeLoop = before }()
	var out strings.Builder
	m := New(context.Background(), lim, func(s string) { out.WriteString(s + "\n") }, 1)
	defer m.Close()
	m.Requires(testLoader, new(Library))
	proto, err := Compile(name, []byte(src), lim)
	if err != nil {
		return err.Error()
	}
	_, err = m.Call(m.Load(proto), 0)
	return fmt.Sprintf("%s%v\nwork %d, made %d", out.String(), err, m.Work(), m.fuel.fresh)
}

// TestLoop: by our loop a program prints what it prints by the library's, ends as it does there, and works and makes as much:
// random programs, the pieces of testdata, and loops that a budget ends, by today's rules and by those before 4.
func TestLoop(t *testing.T) {
	programs := map[string]string{
		"budget":    "local t, n = {}, 0 while true do n = n + 1.5 t[n % 7] = n t.x = n end",
		"metatable": "local t = setmetatable({}, { __index = function(_, k) return k end, __newindex = function(s, k, v) rawset(s, k, v) end, __eq = function() return true end }) t.a = 1 t.a = nil t.b = t.c t[1] = 2 t[1] = nil t[2] = 5 for k, v in pairs(t) do print(k, v) end print(t == setmetatable({}, getmetatable(t)), #t)",
		"keys":      "local t = {} for i = 1, 9 do t['k' .. i] = i end t.k3 = nil t.k3 = 7 t.k4 = nil t[3] = 1 t[1] = 2 t[2] = 3 t[2.5] = 4 t[-1] = 5 t[0] = 6 t[1e7] = 7 for k, v in pairs(t) do print(k, v) end print(#t)",
		"zeros":     "local a, z = 0, -0.0 print(a * -1, 1 / (a * -1), 0 - a, z + z, 5 - 5, 1 / (5 - 5), 127 + 0, 128 + 0, -1 + 0, 0 / 0 == 0 / 0, 1 < 0 / 0)",
		"nan":       "local t = {} t[0 / 0] = 1",
		"nil":       "local t = {} t[nil] = 1",
		"none":      "local x print(x.y)",
		"closures":  "local all = {} for i = 1, 5 do local n = i all[i] = function() n = n + 1 return n end end for _ = 1, 3 do for i = 1, 5 do print(all[i]()) end end print(pcall(error, 'x'), all[1]())",
		"deep":      "local function f(n) if n == 0 then return 0 end return 1 + f(n - 1) end print(f(100), pcall(f, 1e6))",
	}
	for _, seed := range campaign.Part(t, campaign.To(3000), 50, 750) {
		programs[fmt.Sprint("random ", seed)], _ = variants(program(uint64(seed)))
	}
	files, err := filepath.Glob("testdata/*.lua")
	if err != nil || len(files) == 0 {
		t.Fatal(errors.Join(err, errors.New("no pieces")))
	}
	for _, file := range files {
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for i, piece := range strings.Split(string(src), "\n---\n") {
			programs[fmt.Sprint(file, i)] = piece
		}
	}
	for name, src := range programs {
		for _, lim := range []Limits{{Instructions: 300_000}, {Instructions: 20_000_000, Before4: true}} {
			theirs := worked(t, "p.lua", src, lim, func(*lua.LState) {})
			ours := worked(t, "p.lua", src, lim, takeLoop)
			if lim.Before4 { // which counts what takes long by the time that it took
				theirs, _, _ = strings.Cut(theirs, "\nwork")
				ours, _, _ = strings.Cut(ours, "\nwork")
			}
			if ours != theirs {
				t.Fatalf("%s (before 4: %v):\n%s\nours: %s\ntheirs: %s", name, lim.Before4, src, ours, theirs)
			}
		}
	}
}
