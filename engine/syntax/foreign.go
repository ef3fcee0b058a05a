package syntax

import (
	"fmt"
	"strings"
)

// foreignSigns are those of other languages and versions, with what to write.
var foreignSigns = map[string]string{
	"!=": "write ~= for unequal", "!==": "write ~= for unequal", "<>": "write ~= for unequal", "===": "write == for equal", "!": "write not",
	"&&": "write and", "||": "write or", "//": "write math.floor(a / b) to divide whole numbers; a comment begins with --",
	"/*": "a comment begins with --, a long one is --[[ … ]]", "**": "write ^ for a power",
	"&": bitTip, "|": bitTip, "<<": bitTip, ">>": bitTip, "~": bitTip + "; unequal is ~=",
	"?": "write condition and a or b", "??": "write a or b", "?.": "write a and a.b", "=>": "write function(x) return … end", "->": "write function(x) return … end",
	":=": "write local name = value", "++": "write name = name + 1", "`": "write a text in \" or '", "@": "", "$": "", "\\": "",
}

const bitTip = "there are no operators on bits; write arithmetic, as math.floor(n / 2 ^ bit) % 2 for one bit"

// foreign ends the reading where the word here is known to be of another language or version.
func (p *parser) foreign() {
	t := p.tok
	if op, is := strings.CutSuffix(t.text, "="); t.kind == sign && is && strings.Contains("+ - * / % ^ .. // ** << >> & | && ||", op) && op != "" {
		fail(t.at, true, fmt.Sprintf("write name = name %s …", op), "'%s' is not Lua 5.1", t.text)
	}
	if tip, known := foreignSigns[t.text]; known && t.kind == sign {
		if t.text == "~" && p.prev.kind != end {
			tip = bitTip
		}
		fail(t.at, true, tip, "'%s' is not Lua 5.1", t.text)
	}
	if t.kind == sign && t.text == "{" {
		fail(t.at, true, "write then, or do, and at the end of the block end", "a block in braces is not Lua")
	}
	if t.kind == sign && t.text == "<" && p.prev.kind == name { // local x <const>
		fail(t.at, true, "leave it out", "a variable with an attribute in <…> is not Lua 5.1")
	}
	if t.kind == word && t.text == "if" && p.prev.text == "else" {
		fail(t.at, true, "write elseif", "'else if' begins a condition of its own")
	}
}

// foreignWords begin statements of other languages.
var foreignWords = map[string]string{
	"continue": "put the rest of the loop's body in if not … then … end",
	"let":      "write local name = value", "var": "write local name = value", "const": "write local name = value",
	"elif": "write elseif", "elsif": "write elseif", "def": "write local function name(…) … end", "fn": "write local function name(…) … end",
	"func": "write local function name(…) … end", "import": `write local name = require "name"`, "try": "write local ok, err = pcall(f, …)",
	"switch": "write if … elseif … end", "else": "write elseif or else inside of if … end", "foreach": "write for i, x in ipairs(list) do … end",
}

// foreignStatement ends the reading where a statement begins as one of another language.
func (p *parser) foreignStatement() {
	t := p.tok
	if t.kind == sign && (t.text == "//" || t.text == "/*" || t.text == "#") && t.at.Line != p.prev.at.Line {
		fail(t.at, true, "write -- before a comment", "a comment that begins with '%s' is not Lua", t.text)
	}
	p.foreign()
	tip, known := foreignWords[t.text]
	if t.kind != name || !known {
		return
	}
	was, prev, n := p.scanner, p.prev, len(p.comments)
	p.advance()
	follows := p.tok
	p.scanner, p.tok, p.prev = was, t, prev
	p.comments = p.comments[:n]
	own := follows.kind == sign && strings.Contains("= ( . [ : ,", follows.text) || follows.kind == text
	if !own || t.text == "import" && follows.kind == text {
		fail(t.at, true, tip, "'%s' is not Lua 5.1", t.text)
	}
}

// braces ends the reading where a condition is followed by a block in braces, which reads as a call.
func (p *parser) braces(cond Expr, word string) {
	call, is := cond.(*Call)
	if !is || !call.Braces || p.is(word) {
		return
	}
	if _, is := call.Func.(*Paren); is {
		fail(call.Open, true, "write "+word+", and at the end of the block end", "a block in braces is not Lua")
	}
}

// foreignAssignment ends the reading after a name or a field that is neither called nor given a value.
func (p *parser) foreignAssignment(first token, e Expr) {
	if p.tok.kind == sign && p.tok.text == "++" {
		p.foreign()
	}
	if op, is := strings.CutSuffix(p.tok.text, "="); p.tok.kind == sign && is && op != "" {
		if x := p.source(first); x != "" && power[op] != [2]int{} {
			fail(p.tok.at, true, fmt.Sprintf("write %s = %s %s …", x, x, op), "'%s' is not Lua 5.1", p.tok.text)
		}
	}
	p.foreign()
	if p.tok.kind == sign && (p.tok.text == "==" || p.tok.text == "~=") {
		fail(p.tok.at, true, "write = to give a value, or if … then to compare", "a statement compares and does nothing with it")
	}
	if _, is := e.(*Index); is || p.tok.at.Line > first.at.Line || p.tok.kind == end {
		fail(first.at, false, fmt.Sprintf("write %s() to call it", p.source(first)), "%s alone does nothing", p.source(first))
	}
}

// source is what is written from a word to the last one, on one line.
func (p *parser) source(from token) string {
	s := strings.TrimSpace(p.src[from.off:p.tok.off])
	if i := strings.Index(s, "--"); i >= 0 {
		s = s[:i]
	}
	return shorten(strings.Join(strings.Fields(s), " "))
}
