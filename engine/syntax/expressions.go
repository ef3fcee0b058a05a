package syntax

func (p *parser) list() []Expr {
	all := []Expr{p.expr(0)}
	for p.take(",") {
		all = append(all, p.expr(0))
	}
	return all
}

// power is how strongly an operator binds to its left and to its right.
var power = map[string][2]int{"or": {1, 1}, "and": {2, 2}, "<": {3, 3}, ">": {3, 3}, "<=": {3, 3}, ">=": {3, 3}, "~=": {3, 3}, "==": {3, 3},
	"..": {5, 4}, "+": {6, 6}, "-": {6, 6}, "*": {7, 7}, "/": {7, 7}, "%": {7, 7}, "^": {10, 9}}

const unaryPower = 8

func (p *parser) expr(least int) Expr {
	p.enter()
	defer p.leave()
	var x Expr
	if t := p.tok; p.is("-") || p.is("not") || p.is("#") {
		p.advance()
		x = &Unary{t.at, t.text, p.expr(unaryPower)}
	} else {
		x = p.operand()
	}
	for p.tok.kind == sign || p.tok.kind == word {
		t := p.tok
		power, known := power[t.text]
		if !known || power[0] <= least {
			break
		}
		p.advance()
		x = &Binary{t.at, t.text, x, p.expr(power[1])}
	}
	return x
}

func (p *parser) operand() Expr {
	t := p.tok
	switch t.kind {
	case number:
		p.advance()
		return &Number{t.at, t.text, t.value}
	case text:
		p.advance()
		return &Text{t.at, t.text}
	case word:
		switch t.text {
		case "nil":
			p.advance()
			return &Nil{t.at}
		case "true":
			p.advance()
			return &True{t.at}
		case "false":
			p.advance()
			return &False{t.at}
		case "function":
			p.advance()
			return p.function(t)
		}
	case sign:
		switch t.text {
		case "...":
			p.advance()
			return &Vararg{t.at}
		case "{":
			return p.table()
		}
	}
	return p.suffixed()
}

func (p *parser) table() *Table {
	open := p.tok
	p.advance()
	t := &Table{At: open.at}
	for !p.is("}") {
		t.Fields = append(t.Fields, p.field())
		if !p.take(",") && !p.take(";") {
			break
		}
	}
	t.End = p.tok.at
	p.want("}", open)
	return t
}

func (p *parser) field() Field {
	if open := p.tok; p.take("[") {
		key := p.expr(0)
		p.want("]", open)
		p.want("=", token{})
		return Field{key, false, p.expr(0)}
	}
	if p.tok.kind == name {
		was, at := p.scanner, p.tok
		comments := len(p.comments)
		before := p.prev
		p.advance()
		if p.take("=") {
			return Field{&Text{at.at, at.text}, true, p.expr(0)}
		}
		p.scanner, p.tok, p.prev = was, at, before
		p.comments = p.comments[:comments]
	}
	return Field{Value: p.expr(0)}
}

// suffixed is a name or an expression in brackets, with what is called or indexed of it.
func (p *parser) suffixed() Expr {
	x := p.primary()
	for {
		t := p.tok
		switch {
		case p.take("."):
			n := p.name()
			x = &Index{x, &Text{n.At, n.Text}, true}
		case p.take("["):
			x = &Index{Object: x, Key: p.expr(0)}
			p.want("]", t)
		case p.take(":"):
			if p.tok.kind == number || p.tok.kind == text || p.is("{") || p.is("true") || p.is("false") || p.is("nil") {
				fail(t.at, true, "write = between the name of a field and its value", "':' before a value is not Lua")
			}
			n := p.name()
			open := p.tok
			args, braces, ok := p.arguments()
			if !ok {
				p.foreign()
				fail(p.tok.at, false, "", "the arguments of a call are expected near '%s'", p.near())
			}
			x = &Call{x, &n, args, braces, open.at}
		default:
			args, braces, ok := p.arguments()
			if !ok {
				return x
			}
			x = &Call{x, nil, args, braces, t.at}
		}
	}
}

func (p *parser) primary() Expr {
	t := p.tok
	if t.kind == name {
		p.advance()
		return &Ident{t.at, t.text}
	}
	if p.take("(") {
		x := p.expr(0)
		p.want(")", t)
		return &Paren{t.at, x}
	}
	p.unexpected()
	return nil
}

func (p *parser) arguments() (args []Expr, braces, ok bool) {
	t := p.tok
	switch {
	case t.kind == text:
		p.advance()
		return []Expr{&Text{t.at, t.text}}, true, true
	case p.is("{"):
		return []Expr{p.table()}, true, true
	case p.is("("):
		p.advance()
		if !p.is(")") {
			args = p.list()
		}
		p.want(")", t)
		return args, false, true
	}
	return nil, false, false
}
