package syntax

// Pos is a place in a file. Line and column count from 1, columns in characters.
type Pos struct {
	Line   int `json:"line"`
	Column int `json:"column"`
}

// Before says whether a place is before another one.
func (p Pos) Before(q Pos) bool {
	return p.Line < q.Line || p.Line == q.Line && p.Column < q.Column
}

// File is what was read.
type File struct {
	Body     *Block
	Comments []Comment
	Escapes  []Escape // in texts, of letters that no escape stands for: Lua reads the letter
}

// Comment is one comment, without its dashes and brackets.
type Comment struct {
	At   Pos
	Text string
	// Alone says that nothing else is before it on its line.
	Alone bool
}

// Block is a list of statements with variables of their own.
type Block struct {
	Stmts []Stmt
	End   Pos // of the word that closes it
}

// Name is a name where a variable, a parameter or a field is made.
type Name struct {
	At   Pos
	Text string
}

// Expr is an expression.
type Expr interface{ Pos() Pos }

// The expressions.
type (
	// Nil, True, False and Vararg are words.
	Nil    struct{ At Pos }
	True   struct{ At Pos }
	False  struct{ At Pos }
	Vararg struct{ At Pos }
	// Number is a numeral.
	Number struct {
		At    Pos
		Text  string
		Value float64
	}
	// Text is a literal text.
	Text struct {
		At    Pos
		Value string
	}
	// Ident is a variable where it is used.
	Ident struct {
		At   Pos
		Text string
	}
	// Index is object[key], or object.key.
	Index struct {
		Object Expr
		Key    Expr
		Dot    bool // written with a dot
	}
	// Call calls a function, or a method of an object.
	Call struct {
		Func   Expr // the object of a method
		Method *Name
		Args   []Expr
		Braces bool // written with a table or a text alone
		Open   Pos
	}
	// Function is a function's text.
	Function struct {
		At     Pos
		Params []Name
		Vararg bool
		Body   *Block
	}
	// Table is a table that is written out.
	Table struct {
		At     Pos
		Fields []Field
		End    Pos
	}
	// Unary is -x, not x or #x.
	Unary struct {
		At Pos
		Op string
		X  Expr
	}
	// Binary is x op y.
	Binary struct {
		At   Pos // of the operator
		Op   string
		X, Y Expr
	}
	// Paren is an expression in brackets, which has one value.
	Paren struct {
		At Pos
		X  Expr
	}
)

// Field is one field of a table. Key is nil where it is one of a list.
type Field struct {
	Key   Expr
	Named bool // written as name = value
	Value Expr
}

// Pos is where the expression begins.
func (e *Nil) Pos() Pos      { return e.At }
func (e *True) Pos() Pos     { return e.At }
func (e *False) Pos() Pos    { return e.At }
func (e *Vararg) Pos() Pos   { return e.At }
func (e *Number) Pos() Pos   { return e.At }
func (e *Text) Pos() Pos     { return e.At }
func (e *Ident) Pos() Pos    { return e.At }
func (e *Index) Pos() Pos    { return e.Object.Pos() }
func (e *Call) Pos() Pos     { return e.Func.Pos() }
func (e *Function) Pos() Pos { return e.At }
func (e *Table) Pos() Pos    { return e.At }
func (e *Unary) Pos() Pos    { return e.At }
func (e *Binary) Pos() Pos   { return e.X.Pos() }
func (e *Paren) Pos() Pos    { return e.At }

// Stmt is a statement.
type Stmt interface{ Pos() Pos }

// The statements.
type (
	// Local makes variables.
	Local struct {
		At     Pos
		Names  []Name
		Values []Expr
	}
	// LocalFunction makes a variable that its function can call.
	LocalFunction struct {
		At   Pos
		Name Name
		Func *Function
	}
	// Assign gives values to what is there.
	Assign struct {
		Targets []Expr
		Values  []Expr
	}
	// Define is function a.b:c() … end.
	Define struct {
		At     Pos
		Target Expr // a name or an index
		Self   bool
		Func   *Function
	}
	// Do is a call as a statement.
	Do struct{ Call *Call }
	// Group is do … end.
	Group struct {
		At   Pos
		Body *Block
	}
	// While is while … do … end.
	While struct {
		At   Pos
		Cond Expr
		Body *Block
	}
	// Repeat is repeat … until.
	Repeat struct {
		At   Pos
		Body *Block
		Cond Expr
	}
	// If has one clause for each condition; Else is nil where there is none.
	If struct {
		At      Pos
		Clauses []Clause
		Else    *Block
	}
	// Count is for i = from, to, step.
	Count struct {
		At             Pos
		Name           Name
		From, To, Step Expr
		Body           *Block
	}
	// Each is for a, b in ….
	Each struct {
		At     Pos
		Names  []Name
		Values []Expr
		Body   *Block
	}
	// Return ends a function.
	Return struct {
		At     Pos
		Values []Expr
	}
	// Break ends a loop.
	Break struct{ At Pos }
	// Goto and Label are of Lua 5.2; the interpreter takes them.
	Goto struct {
		At   Pos
		Name string
	}
	// Label is where a goto leads.
	Label struct {
		At   Pos
		Name string
	}
)

// Clause is a condition and what it guards.
type Clause struct {
	Cond Expr
	Body *Block
}

// Pos is where the statement begins.
func (s *Local) Pos() Pos         { return s.At }
func (s *LocalFunction) Pos() Pos { return s.At }
func (s *Assign) Pos() Pos        { return s.Targets[0].Pos() }
func (s *Define) Pos() Pos        { return s.At }
func (s *Do) Pos() Pos            { return s.Call.Pos() }
func (s *Group) Pos() Pos         { return s.At }
func (s *While) Pos() Pos         { return s.At }
func (s *Repeat) Pos() Pos        { return s.At }
func (s *If) Pos() Pos            { return s.At }
func (s *Count) Pos() Pos         { return s.At }
func (s *Each) Pos() Pos          { return s.At }
func (s *Return) Pos() Pos        { return s.At }
func (s *Break) Pos() Pos         { return s.At }
func (s *Goto) Pos() Pos          { return s.At }
func (s *Label) Pos() Pos         { return s.At }

// Escape is a backslash in a text, before a letter.
type Escape struct {
	At     Pos
	Letter string
}
