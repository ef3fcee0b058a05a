package sandbox

import (
	"reflect"
	"strings"
	"testing"

	lua "github.com/yuin/gopher-lua"
)

// TestMirrors refuses structs of another layout than the library's.
func TestMirrors(t *testing.T) {
	type moved struct {
		_   bool
		reg *registry
	}
	type renamed struct{ registers *registry }
	type typed struct{ array int }
	state := reflect.TypeFor[lua.LState]()
	for ours, theirs := range map[reflect.Type]reflect.Type{
		reflect.TypeOf(moved{reg: nil}): state, reflect.TypeOf(renamed{registers: nil}): state, reflect.TypeOf(typed{array: 0}): reflect.TypeFor[registry](),
	} {
		func() {
			defer func() {
				if r, _ := recover().(string); !strings.Contains(r, "has another layout than is known") {
					t.Errorf("%s: got %q", ours, r)
				}
			}()
			mirrors(ours, theirs)
		}()
	}
}
