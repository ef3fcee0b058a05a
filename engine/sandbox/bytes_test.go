package sandbox

import (
	"context"
	"testing"

	lua "github.com/yuin/gopher-lua"
)

// TestBytes measures values of which the size follows from what is in them, and such
// as have no end.
func TestBytes(t *testing.T) {
	const most = 1 << 30
	for _, c := range []struct {
		src         string
		least, most int64
	}{
		{"return nil", 1, 100},
		{"return 5", 8, 100},
		{"return ('x'):rep(1000)", 1000, 1100},
		{"return {}", 50, 300},
		{"local t = {} for i = 1, 1000 do t[i] = i end return t", 16_000, 40_000},
		{"local t = {} for i = 1, 1000 do t['k' .. i] = i end return t", 60_000, 200_000},
		{"local t = {} for i = 1, 1000 do t[-i] = i end return t", 60_000, 200_000},
		{"local s, t = ('x'):rep(1e6), {} for i = 1, 100 do t[i] = s end return t", 1e8, 1.1e8},               // a copy has it 100 times
		{"local s, t = ('x'):rep(1e6), {} for i = 1, 100 do t['k' .. i] = { s } end return t", 1e8, 1.1e8},    //
		{"local t = {} for i = 1, 1e5 do t[i] = i end for i = 1, 1e5 do t[i] = nil end return t", 1.6e6, 1e7}, // and all its empty places
		{"return { [('x'):rep(1e6)] = 1 }", 1e6, 1.1e6},
		{"local t = {} t[1] = t return t", most, most + 20000},
		{"local t = {} t.x = t return t", most, most + 20000},
		{"local t = {} t[t] = 1 return t", most, most + 20000},
		{"local t = { 1 } for i = 1, 60 do t = { t, t } end return t", most, most + 20000}, // 2^60 ones
		{"local t = {} for i = 1, 1e5 do t = { t } end return t", most, most + 20000},      // deeper than anybody could follow
	} {
		m := New(context.Background(), Limits{}, func(string) {}, 1)
		proto, err := Compile("x.lua", []byte(c.src), Limits{})
		if err != nil {
			t.Fatal(err)
		}
		results, err := m.Call(m.Load(proto), 1)
		if err != nil {
			t.Fatal(err)
		}
		if got := Bytes(results[0], most); got < c.least || got > c.most {
			t.Errorf("%s: %d bytes, want %d to %d", c.src, got, c.least, c.most)
		}
		m.Close()
	}
	if got := Bytes(lua.LString("text"), 3); got <= 3 {
		t.Errorf("text that is over the limit is %d bytes", got)
	}
}
