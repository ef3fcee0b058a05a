package script

import (
	"sync"
	"testing"
)

// A program compiles what it requires once, however often and from how many
// goroutines it is started; source that has changed is compiled anew.
func TestLibraryIsCompiledOnce(t *testing.T) {
	value := "1"
	loader := func(name string) (string, []byte, error) { return name + ".lua", []byte("return " + value), nil }
	p, err := Compile("p.lua", []byte(`local v = require "v"
return procedure { title = "P" .. v, purpose = "p", run = function() end }`), loader, nil)
	if err != nil {
		t.Fatal(err)
	}
	start := func(want string) {
		rt, err := p.Start(t.Context(), Host{})
		if err != nil {
			t.Error(err)
			return
		}
		defer rt.Close()
		if rt.Contract().Title != want {
			t.Errorf("the title is %q, want %q", rt.Contract().Title, want)
		}
	}
	start("P1")
	first := p.library.Compiled["v.lua"].Proto
	var group sync.WaitGroup
	for range 8 {
		group.Go(func() { start("P1") })
	}
	group.Wait()
	if p.library.Compiled["v.lua"].Proto != first || first == nil {
		t.Error("v.lua was compiled again, want once")
	}
	value = "2"
	start("P2")
	value = "("
	if rt, err := p.Start(t.Context(), Host{}); err == nil {
		rt.Close()
		t.Error("source that is no Lua any more was not compiled")
	}
}
