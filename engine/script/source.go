package script

import (
	"bytes"

	lua "github.com/yuin/gopher-lua"
	"github.com/yuin/gopher-lua/parse"
)

// compile reads a source file and makes code that machines can share.
func compile(name string, src []byte, lim Limits) (*lua.FunctionProto, error) {
	tree, err := parse.Parse(bytes.NewReader(src), name)
	if err != nil {
		return nil, err
	}
	return lua.Compile(tree, name)
}
