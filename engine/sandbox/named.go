package sandbox

import (
	"bytes"
	"reflect"

	"github.com/yuin/gopher-lua/ast"
	"github.com/yuin/gopher-lua/parse"
)

// Named is what a source names, wherever in it: more than it uses, and not what it makes of texts as it runs.
type Named struct {
	Fields map[string]map[string]bool // of what is called so, such as read of meter
	Whole  map[string]bool            // called so without a field, as if it were handed on
	Texts  map[string]bool            // literal ones
}

// NamedIn reads a source that compiles; of another one it says that it names nothing.
func NamedIn(src []byte) Named {
	n := Named{map[string]map[string]bool{}, map[string]bool{}, map[string]bool{}}
	if tree, err := parse.Parse(bytes.NewReader(src), ""); err == nil {
		n.walk(reflect.ValueOf(tree))
	}
	return n
}

func (n *Named) walk(v reflect.Value) {
	switch e := v.Interface().(type) {
	case *ast.AttrGetExpr:
		object, isName := e.Object.(*ast.IdentExpr)
		key, isText := e.Key.(*ast.StringExpr)
		if isName && isText {
			if n.Fields[object.Value] == nil {
				n.Fields[object.Value] = map[string]bool{}
			}
			n.Fields[object.Value][key.Value] = true
			return
		}
	case *ast.IdentExpr:
		n.Whole[e.Value] = true
	case *ast.StringExpr:
		n.Texts[e.Value] = true
	}
	n.walkInto(v)
}

func (n *Named) walkInto(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			n.walk(v.Elem())
		}
	case reflect.Slice:
		for i := range v.Len() {
			n.walk(v.Index(i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				n.walk(v.Field(i))
			}
		}
	}
}
