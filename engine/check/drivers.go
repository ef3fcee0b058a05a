package check

import (
	"slices"

	"candelua/engine/syntax"
)

// Exchange is what a function of a driver is asked, and what it may answer, by the names of the fields. Without names nothing is said of it.
type Exchange struct {
	Asked, Answered []string
	Wanted          bool // it must answer
}

// wholeDriver looks at what the functions of a driver read of a request, and give as the answer.
func (c *checker) wholeDriver() {
	of := c.tableOfDeclaration()
	if of == nil {
		return
	}
	for _, field := range of.names {
		x, known := c.k.Kinds[c.declares].Exchanges[field]
		fn := of.fields[field].fn
		if !known || fn == nil || fn.owner != c {
			continue
		}
		if len(x.Asked) > 0 && len(fn.params) > 1 {
			c.asked(field, fn, x.Asked)
		}
		if len(x.Answered) > 0 {
			c.answered(field, fn.node, x)
		}
	}
}

// asked finds fields that no request has.
func (c *checker) asked(field string, fn *function, known []string) {
	ask := fn.params[1]
	visit(fn.node.Body, func(n any) {
		x, is := n.(*syntax.Index)
		if !is {
			return
		}
		of, isName := x.Object.(*syntax.Ident)
		key, isText := x.Key.(*syntax.Text)
		if isName && isText && ask != nil && c.vars[of] == ask && !slices.Contains(known, key.Value) {
			c.add(Error, noSuchField, key.At, near(key.Value, known, "it has"), "%s of %s has no field %s", ask.name, field, short(key.Value))
		}
	})
}

// answered finds fields that no answer has, and a function that must answer and does not.
func (c *checker) answered(field string, node *syntax.Function, x Exchange) {
	var inner []*syntax.Function
	visit(node.Body, func(n any) {
		if f, is := n.(*syntax.Function); is {
			inner = append(inner, f)
		}
	})
	others := map[*syntax.Return]bool{}
	for _, f := range inner {
		visit(f.Body, func(n any) {
			if r, is := n.(*syntax.Return); is {
				others[r] = true
			}
		})
	}
	gives := false
	visit(node.Body, func(n any) {
		r, is := n.(*syntax.Return)
		if !is || others[r] {
			return
		}
		gives = gives || len(r.Values) > 0
		if len(r.Values) != 1 {
			return
		}
		if t, is := r.Values[0].(*syntax.Table); is {
			c.answer(field, t, x.Answered)
		}
	})
	if !gives && x.Wanted && !raises(node.Body) {
		c.add(Warning, returnsNothing, node.At, "return a table with "+x.Answered[0], "%s answers nothing", field)
	}
}

func (c *checker) answer(field string, t *syntax.Table, known []string) {
	for _, f := range t.Fields {
		if key, is := f.Key.(*syntax.Text); is && !slices.Contains(known, key.Value) {
			tip := near(key.Value, known, "it can have")
			if slices.Contains([]string{"luminance", "L", "Lv", "nits"}, key.Value) && slices.Contains(known, "Y") {
				tip = "write Y for the luminance"
			}
			c.add(Error, noSuchField, key.At, tip, "the answer of %s has no field %s", field, short(key.Value))
		}
	}
}
