package syntax

import (
	"fmt"
	"slices"
	"strings"
)

// Deepest is how deep blocks, brackets and operators may stand in one another.
const Deepest = 100_000

// Error says where a file is not Lua 5.1, and why.
type Error struct {
	At      Pos
	Message string
	Tip     string // what to write; empty where that is not known
	Foreign bool   // it is of another language or version, which was recognised
}

func (e *Error) Error() string { return e.Message }

// Hint says what to write instead.
func (e *Error) Hint() string { return e.Tip }

// Code is the error's code in reports.
func (e *Error) Code() string { return "syntax" }

// parser reads a file by recursive descent, with one word of look-ahead.
type parser struct {
	scanner
	tok   token
	prev  token // the word before
	depth int
	// suspect is the first block whose end stands further left than the block itself, and the line of that end.
	suspect     token
	suspectLine int
	elseIf      int // the line of the last else if
}

// Parse reads a file. Its errors are of type *[Error].
func Parse(src []byte) (f *File, err error) {
	p := &parser{scanner: scanner{src: string(src), line: 1}}
	defer func() {
		if r := recover(); r != nil {
			e, ok := r.(*Error)
			if !ok {
				panic(r)
			}
			f, err = nil, p.unclosed(e)
		}
	}()
	p.advance()
	body := p.block()
	if p.tok.kind != end {
		p.unexpected()
	}
	return &File{body, p.comments, p.escaped}, nil
}

func (p *parser) advance() {
	p.prev = p.tok
	p.tok = p.next()
}

func (p *parser) is(s string) bool {
	return (p.tok.kind == sign || p.tok.kind == word) && p.tok.text == s
}

func (p *parser) take(s string) bool {
	if !p.is(s) {
		return false
	}
	p.advance()
	return true
}

// unclosed blames a block that has no end of its own for the error that follows from it.
func (p *parser) unclosed(e *Error) *Error {
	if p.suspect.text == "" || e.Foreign {
		return e
	}
	if line := p.elseIf; p.suspect.text == "if" && line > p.suspect.at.Line && line < p.suspectLine {
		return &Error{At: p.suspect.at, Message: "'if' has no 'end' of its own", Tip: fmt.Sprintf("write elseif in line %d: else if begins a condition that needs an end of its own", line)}
	}
	return &Error{At: p.suspect.at, Message: fmt.Sprintf("'%s' has no 'end' of its own", p.suspect.text),
		Tip: fmt.Sprintf("the end in line %d closes it now, and stands further left: put an end before it", p.suspectLine)}
}

// indent is how far the first word of a line is from its left, in bytes, for the line of an offset; first says whether the offset is that word.
func (p *parser) indent(off int) (n int, first bool) {
	start := strings.LastIndexByte(p.src[:off], '\n') + 1
	n = len(p.src[start:]) - len(strings.TrimLeft(p.src[start:], " \t"))
	return n, start+n == off
}

// closes notes where a block ends, for errors that follow from a missing end.
func (p *parser) closes(open token) {
	if p.suspect.text != "" || open.text == "" || p.tok.at.Line == open.at.Line {
		return
	}
	of, _ := p.indent(open.off)
	if at, first := p.indent(p.tok.off); first && at < of {
		p.suspect, p.suspectLine = open, p.tok.at.Line
	}
}

func (p *parser) want(s string, open token) {
	if p.is(s) {
		if s == "end" {
			p.closes(open)
		}
		p.advance()
		return
	}
	p.foreign()
	if p.tok.kind == end && open.text != "" {
		tip := ""
		if open.text == "if" {
			tip = "where another condition follows, write elseif and not else if"
		}
		fail(open.at, false, tip, "'%s' has no '%s' before the end of the file", open.text, s)
	}
	tip := ""
	if s == "}" && (p.tok.kind == name || p.tok.kind == text || p.tok.kind == number || p.is("[") || p.is("{")) {
		tip = "put a comma after the field before"
		if open.at.Line < p.tok.at.Line {
			tip = fmt.Sprintf("close the { of line %d, or put a comma after the field before", open.at.Line)
		}
	}
	fail(p.tok.at, false, tip, "'%s' is expected near '%s'", s, p.near())
}

func (p *parser) near() string {
	if p.tok.kind == end {
		return "the end of the file"
	}
	return shorten(p.tok.text)
}

func (p *parser) unexpected() {
	p.foreign()
	fail(p.tok.at, false, "", "this is not Lua near '%s'", p.near())
}

func (p *parser) name() Name {
	if p.tok.kind != name {
		p.foreign()
		fail(p.tok.at, false, "", "a name is expected near '%s'", p.near())
	}
	n := Name{p.tok.at, p.tok.text}
	p.advance()
	return n
}

func (p *parser) enter() {
	if p.depth++; p.depth > Deepest {
		fail(p.tok.at, false, "", "blocks, brackets or operators are nested over %d deep", Deepest)
	}
}

func (p *parser) leave() { p.depth-- }

var closers = []string{"end", "else", "elseif", "until"}

func (p *parser) block() *Block {
	p.enter()
	defer p.leave()
	b := &Block{}
	for p.tok.kind != end && !(p.tok.kind == word && slices.Contains(closers, p.tok.text)) {
		s, last := p.statement()
		if s != nil {
			b.Stmts = append(b.Stmts, s)
		}
		p.take(";")
		if last {
			break
		}
	}
	b.End = p.tok.at
	return b
}

// closed is a block with its end.
func (p *parser) closed(open token) *Block {
	b := p.block()
	b.End = p.tok.at
	p.want("end", open)
	return b
}

// statement says, too, whether it must be the last one of its block.
func (p *parser) statement() (Stmt, bool) {
	t := p.tok
	if t.kind != word {
		if p.is(";") { // an empty statement is not Lua 5.1, but the interpreter takes one after each statement
			p.unexpected()
		}
		if p.is("::") {
			return p.label(), false
		}
		return p.simple(), false
	}
	switch t.text {
	case "local":
		return p.local(), false
	case "function":
		return p.define(), false
	case "do":
		p.advance()
		return &Group{t.at, p.closed(t)}, false
	case "while":
		p.advance()
		cond := p.expr(0)
		p.braces(cond, "do")
		p.want("do", t)
		return &While{t.at, cond, p.closed(t)}, false
	case "repeat":
		p.advance()
		body := p.block()
		p.want("until", t)
		return &Repeat{t.at, body, p.expr(0)}, false
	case "if":
		return p.condition(), false
	case "for":
		return p.loop(), false
	case "return":
		return p.returns(), true
	case "break":
		p.advance()
		return &Break{t.at}, true
	case "goto":
		p.advance()
		return &Goto{t.at, p.name().Text}, false
	}
	p.unexpected()
	return nil, false
}

func (p *parser) label() Stmt {
	t := p.tok
	p.advance()
	n := p.name()
	p.want("::", token{})
	return &Label{t.at, n.Text}
}

func (p *parser) local() Stmt {
	t := p.tok
	p.advance()
	if f := p.tok; p.take("function") {
		n := p.name()
		return &LocalFunction{t.at, n, p.function(f)}
	}
	s := &Local{At: t.at, Names: p.names()}
	if p.take("=") {
		s.Values = p.list()
	}
	return s
}

func (p *parser) names() []Name {
	all := []Name{p.name()}
	for p.take(",") {
		all = append(all, p.name())
	}
	return all
}

func (p *parser) define() Stmt {
	t := p.tok
	p.advance()
	n := p.name()
	s := &Define{At: t.at, Target: &Ident{n.At, n.Text}}
	for p.is(".") || p.is(":") {
		s.Self = p.is(":")
		p.advance()
		n := p.name()
		s.Target = &Index{s.Target, &Text{n.At, n.Text}, true}
		if s.Self {
			break
		}
	}
	s.Func = p.function(t)
	if s.Self {
		s.Func.Params = append([]Name{{s.At, "self"}}, s.Func.Params...)
	}
	return s
}

// function reads parameters and body; open is the word function.
func (p *parser) function(open token) *Function {
	f := &Function{At: open.at}
	bracket := p.tok
	p.want("(", token{})
	for !p.is(")") {
		if p.take("...") {
			f.Vararg = true
			break
		}
		f.Params = append(f.Params, p.name())
		if !p.take(",") {
			break
		}
		if p.is(")") {
			p.unexpected()
		}
	}
	p.want(")", bracket)
	f.Body = p.closed(open)
	return f
}

func (p *parser) condition() Stmt {
	t := p.tok
	s := &If{At: t.at}
	for {
		p.advance()
		cond := p.expr(0)
		if p.is("=") {
			fail(p.tok.at, true, "write == to compare", "a condition assigns with '=', which is not Lua")
		}
		p.braces(cond, "then")
		p.want("then", t)
		s.Clauses = append(s.Clauses, Clause{cond, p.block()})
		if !p.is("elseif") {
			break
		}
	}
	if p.take("else") {
		if p.is("if") && p.tok.at.Line == p.prev.at.Line {
			p.elseIf = p.tok.at.Line
		}
		s.Else = p.block()
	}
	p.want("end", t)
	return s
}

func (p *parser) loop() Stmt {
	t := p.tok
	p.advance()
	first := p.name()
	if p.take("=") {
		s := &Count{At: t.at, Name: first, From: p.expr(0)}
		p.want(",", token{})
		s.To = p.expr(0)
		if p.take(",") {
			s.Step = p.expr(0)
		}
		p.want("do", t)
		s.Body = p.closed(t)
		return s
	}
	s := &Each{At: t.at, Names: []Name{first}}
	for p.take(",") {
		s.Names = append(s.Names, p.name())
	}
	p.want("in", token{})
	s.Values = p.list()
	p.want("do", t)
	s.Body = p.closed(t)
	return s
}

func (p *parser) returns() Stmt {
	s := &Return{At: p.tok.at}
	p.advance()
	if p.tok.kind != end && !p.is(";") && !(p.tok.kind == word && slices.Contains(closers, p.tok.text)) {
		s.Values = p.list()
	}
	return s
}

// simple is a call or an assignment.
func (p *parser) simple() Stmt {
	first := p.tok
	p.foreignStatement()
	e := p.suffixed()
	if p.is("=") || p.is(",") {
		s := &Assign{Targets: []Expr{target(e)}}
		for p.take(",") {
			s.Targets = append(s.Targets, target(p.suffixed()))
		}
		p.want("=", token{})
		s.Values = p.list()
		return s
	}
	if c, ok := e.(*Call); ok {
		return &Do{c}
	}
	p.foreignAssignment(first, e)
	p.unexpected()
	return nil
}

func target(e Expr) Expr {
	switch e.(type) {
	case *Ident, *Index:
		return e
	}
	fail(e.Pos(), false, "", "this cannot be given a value")
	return nil
}
