package declare

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// mostShown is how many bytes of a value are shown; what is longer ends in "…".
const mostShown = 2000

// Show writes a value as a script would: what a builtin was given, for its
// errors. A long one is cut.
func Show(x any) string {
	s := shower{}
	s.value(x)
	return s.String()
}

// A shower writes values until they are long enough.
type shower struct{ strings.Builder }

func (s *shower) full() bool { return s.Len() > mostShown }

func (s *shower) value(x any) {
	switch x := x.(type) {
	case nil:
		s.WriteString("nil")
	case float64:
		s.WriteString(Number(x))
	case string:
		s.text(x)
	case []any:
		showList(s, x)
	case []float64:
		showList(s, x)
	case []string:
		showList(s, x)
	case map[string]any:
		s.table(x)
	case Named:
		s.WriteString(Article(x.LuaName()))
	default:
		fmt.Fprint(s, x)
	}
}

func (s *shower) text(x string) {
	if len(x) > mostShown {
		x = strings.ToValidUTF8(x[:mostShown], "") + "…"
	}
	s.WriteString(strconv.Quote(x))
}

func (s *shower) table(m map[string]any) {
	s.WriteByte('{')
	for i, k := range slices.Sorted(maps.Keys(m)) {
		if i > 0 {
			s.WriteString(", ")
		}
		if s.full() {
			s.WriteString("…")
			break
		}
		s.WriteByte('[')
		s.text(k)
		s.WriteString("]=")
		s.value(m[k])
	}
	s.WriteByte('}')
}

func showList[T any](s *shower, list []T) {
	s.WriteByte('{')
	for i, x := range list {
		if i > 0 {
			s.WriteString(", ")
		}
		if s.full() {
			s.WriteString("…")
			break
		}
		s.value(x)
	}
	s.WriteByte('}')
}
