package script

import "testing"

// benchCall times b.N calls from a loop in Lua, so that the loop itself and
// the making of the arguments count too.
func benchCall(b *testing.B, body string) {
	modules := []*Module{classModule(), everyModule(new(everyArgs)), rigBench()}
	program, err := Compile("bench.lua", []byte("local n = 0\n"+inRun("for i = 1, 1000 do "+body+" end")), nil, modules)
	if err != nil {
		b.Fatal(err)
	}
	door := &fakeDoor{}
	rt, err := program.Start(b.Context(), Host{Door: door})
	if err != nil {
		b.Fatal(err)
	}
	defer rt.Close()
	b.ReportAllocs()
	for n := 0; n < b.N; n += 1000 {
		rt.Refill()
		door.asked, door.kept = door.asked[:0], door.kept[:0]
		if err := rt.Run(nil); err != nil {
			b.Fatal(err)
		}
	}
}

// rigBench has functions as small as can be.
func rigBench() *Module {
	return &Module{Name: "tiny", Funcs: []*Func{
		Pure("tiny.none", "", func(*Call, None) (None, error) { return None{}, nil }),
		Pure("tiny.lamp", "", func(*Call, None) (*lamp, error) { return &lamp{}, nil }),
		Pure("lamp:dim", "", func(*Call, lampArgs) (None, error) { return None{}, nil }),
	}}
}

func BenchmarkLoopAlone(b *testing.B) { benchCall(b, "local x = i") }

func BenchmarkTableAlone(b *testing.B) {
	benchCall(b, "local x = { repeats = 5, window = 10, period = 2, sync = true, signal = 'pq', name = 'n', limit = 1 }")
}

func BenchmarkCallTable7(b *testing.B) {
	benchCall(b, "lamp.set { repeats = 5, window = 10, period = 2, sync = true, signal = 'pq', name = 'n', limit = 1 }")
}

func BenchmarkCallNothing(b *testing.B) { benchCall(b, "tiny.none()") }

func BenchmarkCallPure(b *testing.B) { benchCall(b, "rig.pure('fine')") }

func BenchmarkCallObject(b *testing.B) { benchCall(b, "local x = tiny.lamp().level") }

func BenchmarkCallStep(b *testing.B) { benchCall(b, "rig.step('fine')") }
