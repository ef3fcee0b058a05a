package sandbox

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"

	lua "github.com/yuin/gopher-lua"
	"github.com/yuin/gopher-lua/parse"

	"candelua/engine/syntax"
)

// Compile reads a source file and makes code that machines can share. It
// refuses source that is too large or too deeply nested before the parser sees
// it, and rewrites what the library is known to compile wrongly. Its errors
// are of type [*Error].
func Compile(name string, src []byte, lim Limits) (proto *lua.FunctionProto, err error) {
	lim = lim.filled()
	defer func() {
		switch r := recover().(type) {
		case nil:
		case *Error:
			r.File = name
			proto, err = nil, r
		default: // a mistake in the library's compiler is no reason to fall
			proto, err = nil, &Error{File: name, Message: fmt.Sprintf("the interpreter cannot compile this: %v", r)}
		}
	}()
	open := scanned(name, src, lim)
	tree, err := parse.Parse(bytes.NewReader(src), name)
	if err != nil {
		return nil, foreign(name, src, syntaxError(name, err, open))
	}
	most := 10 * lim.Nesting
	(&folder{keep: lim.Before4, most: most}).function(tree)
	r := &rewriter{most: most, names: resolve(tree, most)}
	tree = r.file(tree)
	placeJumps(tree)
	proto, err = lua.Compile(tree, name)
	if err != nil {
		return nil, compileError(name, err)
	}
	proto.LastLineDefined &= lineMask // of the last statement, which may bear the mark of a goto
	finish(proto, r.notes, lim)
	proto.DbgLocals = r.notes[len(r.notes)-1].asLocals()
	return proto, nil
}

// refuse ends compile with an error at a line.
func refuse(line int, format string, args ...any) {
	panic(&Error{Line: line, Message: fmt.Sprintf(format, args...)})
}

// syntaxError puts what the parser said into plain words.
func syntaxError(name string, err error, open opener) *Error {
	var p *parse.Error
	if !errors.As(err, &p) {
		return &Error{File: name, Message: "this is not Lua: " + err.Error()}
	}
	e := &Error{File: name, Line: p.Pos.Line}
	switch {
	case p.Pos.Line == parse.EOF && open.word != "":
		e.Line = open.line
		e.Message = fmt.Sprintf("'%s' has no '%s' before the end of the file", open.word, closerOf(open.word))
	case p.Pos.Line == parse.EOF:
		e.Line = open.last
		e.Message = "the file ends too early"
	case p.Message == "syntax error" || p.Message == "parse error":
		e.Message = fmt.Sprintf("this is not Lua near '%s'", short(p.Token))
	default:
		e.Message = fmt.Sprintf("%s near '%s'", lowerFirst(p.Message), short(p.Token))
	}
	return e
}

// scanned is scan, with what another language's sign means where one is why the source was refused.
func scanned(name string, src []byte, lim Limits) opener {
	defer func() {
		r := recover()
		if e, refused := r.(*Error); refused && len(src) <= lim.SourceBytes && !strings.Contains(e.Message, "over") {
			r = foreign(name, src, e)
		}
		if r != nil {
			panic(r)
		}
	}()
	return scan(src, lim)
}

// foreign is what is wrong with a source that is no Lua, with what to write where it has a sign of another language.
func foreign(name string, src []byte, is *Error) *Error {
	var e *syntax.Error
	if _, err := syntax.Parse(src); !errors.As(err, &e) || !e.Foreign || is.Line > 0 && e.At.Line > is.Line {
		return is
	}
	return &Error{File: name, Line: e.At.Line, Message: e.Message, Err: e}
}

func lowerFirst(s string) string {
	if s == "" {
		return s
	}
	return string(lowerByte(s[0])) + s[1:]
}

// compileError puts what the compiler said into plain words.
func compileError(name string, err error) error {
	var c *lua.CompileError
	if !errors.As(err, &c) {
		return &Error{File: name, Message: err.Error()}
	}
	e := &Error{File: name, Line: c.Line & lineMask, Message: c.Message}
	switch {
	case strings.Contains(c.Message, "local variables") || strings.Contains(c.Message, "register overflow"):
		e.Message = "a function needs too many variables and values at once, at most 200 are possible; " +
			"split it, or use tables"
	case strings.Contains(c.Message, "too long to jump"):
		e.Message = "a loop or condition is too long; split it into functions"
	}
	return e
}

// The most that one function may hold. The library's code has narrow fields and
// does not always notice when a number does not fit.
const (
	mostCode     = 100_000
	mostUpvalues = 200
)

// finish checks the code of all functions, mends it and notes names in it.
func finish(p *lua.FunctionProto, notes []note, lim Limits) {
	if len(p.Code) > mostCode {
		refuse(p.LineDefined, "a function is too long; split it")
	}
	if len(p.DbgUpvalues) > mostUpvalues {
		refuse(p.LineDefined, "a function uses %d variables of the functions around it, at most %d are possible", len(p.DbgUpvalues), mostUpvalues)
	}
	id := p.LastLineDefined >> lineBits
	p.LastLineDefined &= lineMask
	if !lim.Before4 {
		p.LastLineDefined |= mendedMark
	}
	p.Code, p.DbgSourcePositions = slices.Clone(p.Code), slices.Clone(p.DbgSourcePositions) // the library's have room for a thousand
	for pc, line := range p.DbgSourcePositions {
		p.Code[pc] = marked(p.Code[pc], line>>lineBits)
		p.DbgSourcePositions[pc] = line & lineMask
	}
	p.DbgLocals = nil // only the library's debug functions read it; ours keep names there
	if id > 0 {
		p.DbgLocals = notes[id-1].asLocals()
	}
	for _, inner := range p.FunctionPrototypes {
		finish(inner, notes, lim)
	}
}

// marked returns what an instruction becomes whose line bears a mark.
func marked(inst uint32, mark int) uint32 {
	switch {
	case mark == 0:
	case opcode(inst) == lua.OP_CLOSE:
		return inst&^(0xff<<18) | uint32(mark-1)<<18
	case opcode(inst) == lua.OP_SETLIST && mark == groupNext>>lineBits:
		return inst + 1<<9
	case opcode(inst) == lua.OP_SETLIST && mark == groupDone>>lineBits:
		return uint32(lua.OP_NOP) << 26
	}
	return inst
}

// A line number in the tree carries a mark above lineBits: of a goto, the
// register from which it must close upvalues, plus one; of a field of a table, groupNext
// or groupDone; of a function's last line, the number of its note.
const (
	lineBits = 24
	lineMask = 1<<lineBits - 1
)

// note is what error messages want to know of a function.
type note struct {
	name  string
	parts []part
}

// part is the source text of an operand: the object that an index or call goes to.
type part struct {
	line      int
	key, text string
}

// The StartPc of entries in a function's debug information that are ours.
const (
	nameNote = -1
	partNote = -2
)

func (n note) asLocals() []*lua.DbgLocalInfo {
	all := []*lua.DbgLocalInfo{{Name: n.name, StartPc: nameNote}}
	for _, p := range n.parts {
		all = append(all, &lua.DbgLocalInfo{Name: p.key + "\x00" + p.text, StartPc: partNote, EndPc: p.line})
	}
	return all
}

// functionName returns the name under which the source defines a function.
func functionName(p *lua.FunctionProto) string {
	if len(p.DbgLocals) > 0 && p.DbgLocals[0].StartPc == nameNote {
		return p.DbgLocals[0].Name
	}
	return ""
}

// partText returns the source text noted for a key on a line, if there is just one.
func partText(p *lua.FunctionProto, line int, key string) string {
	found := ""
	for _, d := range p.DbgLocals {
		k, text, _ := strings.Cut(d.Name, "\x00")
		if d.StartPc != partNote || d.EndPc != line || k != key || text == found {
			continue
		}
		if found != "" {
			return ""
		}
		found = text
	}
	return found
}
