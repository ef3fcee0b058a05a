package check

import "candelua/engine/syntax"

// holes finds lists of which a loop fills only some places, by its own count, and whose length is asked for: # and ipairs
// end at an empty place.
func (c *checker) holes(tree *syntax.File) {
	filled := map[*symbol]int{}
	measured := map[*symbol]bool{}
	visit(tree.Body, func(n any) {
		switch n := n.(type) {
		case *syntax.Assign:
			for _, t := range n.Targets {
				if x, is := t.(*syntax.Index); is {
					filled[c.named(x.Object)]++
				}
			}
		case *syntax.Unary:
			if n.Op == "#" {
				measured[c.named(n.X)] = true
			}
		case *syntax.Call:
			switch id, is := n.Func.(*syntax.Ident); {
			case is && id.Text == "ipairs" && len(n.Args) == 1:
				measured[c.named(n.Args[0])] = true
			case n.Method == nil:
				for _, a := range n.Args {
					filled[c.named(a)] += 2 // what a function does with it is not known
				}
			}
		}
	})
	visit(tree.Body, func(n any) {
		var body *syntax.Block
		var key *symbol
		switch n := n.(type) {
		case *syntax.Count:
			body, key = n.Body, c.vars[nameKey{n, 0}]
		case *syntax.Each:
			body, key = n.Body, c.vars[nameKey{n, 0}]
		}
		if body == nil || key == nil {
			return
		}
		visit(body, func(n any) {
			if s, is := n.(*syntax.If); is && s.Else == nil {
				for _, k := range s.Clauses {
					c.filledInPart(k.Body, key, func(list *symbol) bool { return filled[list] == 1 && measured[list] })
				}
			}
		})
	})
}

// named is the variable that an expression is; nil where it is none.
func (c *checker) named(e syntax.Expr) *symbol {
	if id, is := e.(*syntax.Ident); is {
		return c.vars[id]
	}
	return nil
}

// filledInPart finds the lists that a branch fills at the place that the loop counts.
func (c *checker) filledInPart(b *syntax.Block, key *symbol, open func(*symbol) bool) {
	for _, s := range b.Stmts {
		a, is := s.(*syntax.Assign)
		if !is {
			continue
		}
		for _, t := range a.Targets {
			x, is := t.(*syntax.Index)
			if !is || c.named(x.Key) != key {
				continue
			}
			list := c.named(x.Object)
			if list == nil || list.typ.table == nil || list.typ.table.node == nil || len(list.typ.table.node.Fields) > 0 || !open(list) {
				continue
			}
			c.add(Warning, listWithHoles, x.Object.Pos(), "append to it: "+list.name+"[#"+list.name+" + 1] = …",
				"%s stays empty at the places where the condition is not met, and # and ipairs end at such a place", list.name)
		}
	}
}
