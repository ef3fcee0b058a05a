package check

import (
	"errors"
	"slices"
	"strings"

	"candelua/engine/declare"
	"candelua/engine/fault"
	"candelua/engine/procedure"
	"candelua/engine/script"
	"candelua/engine/syntax"
)

// judgeDeclaration puts the fields of a file's declaration before the checks of those who read it.
func (c *checker) judgeDeclaration(word string, e *syntax.Call, t *syntax.Table) {
	plan := script.ContractPlan()
	if kind, is := c.k.Kinds[word]; is {
		plan = kind.Plan
	}
	if plan == nil {
		return
	}
	of := c.tables[t]
	if of == nil {
		return
	}
	written, is := of.literal(0, 0).(*script.Written)
	if !is {
		return
	}
	unknown := false
	for range 8 { // one after the other
		err := script.JudgeTable(plan, word, written)
		if err == nil || unknown && strings.Contains(err.Error(), " is missing") { // which is the one that is misspelt
			break
		}
		foreign := strings.Contains(err.Error(), "has no field")
		unknown = unknown || foreign
		if key := c.wrongField(word, e, plan, t, err, ""); !setAside(written, key, foreign) {
			break
		}
	}
	if word == "procedure" {
		c.judgeParams(e, of)
	}
}

// setAside takes a field out of the judgement, so that the next one can be found. One that is known counts as given.
func setAside(w *script.Written, key string, foreign bool) bool {
	i := slices.Index(w.Names, key)
	if i < 0 {
		return false
	}
	if !foreign {
		w.Named = slices.Clone(w.Named)
		w.Named[i] = script.Unknown{}
		return true
	}
	w.Names, w.Named = slices.Delete(slices.Clone(w.Names), i, i+1), slices.Delete(slices.Clone(w.Named), i, i+1)
	return true
}

// wrongField places what is wrong with a field, and gives its name.
func (c *checker) wrongField(word string, e *syntax.Call, plan *declare.Plan, t *syntax.Table, err error, within string) string {
	var wrong *fault.ArgError
	if !errors.As(err, &wrong) {
		c.add(Error, wrongField, t.At, fault.HintOf(err), "%s", err)
		return ""
	}
	first, rest := cutPath(wrong.Arg)
	at := inValue(t, append([]string{first}, rest...), wrong, func(key string) bool {
		return slices.ContainsFunc(plan.Fields, func(f declare.Field) bool { return f.Name == key })
	})
	if wrong.Got == "missing" && within == "" && len(rest) == 0 {
		at = e.Func.Pos()
	}
	c.add(Error, wrongField, at, fault.HintOf(err), "%s%s", within, err)
	for _, f := range t.Fields {
		if key, is := f.Key.(*syntax.Text); is && (key.Value == first || key.At == at) {
			return key.Value
		}
	}
	return ""
}

// judgeParams looks at each of the params of a procedure.
func (c *checker) judgeParams(e *syntax.Call, of *table) {
	params := of.fields["params"]
	if params == nil || params.table == nil || params.table.node == nil {
		return
	}
	for _, name := range params.table.names {
		p := params.table.fields[name]
		if p.table == nil || p.table.node == nil {
			continue
		}
		written, is := p.table.literal(0, 0).(*script.Written)
		if !is {
			continue
		}
		if err := script.JudgeTable(script.ParamPlan(), "params."+name, written); err != nil {
			c.wrongField("params", e, script.ParamPlan(), p.table.node, err, "")
		}
		if unit := p.table.fields["unit"]; unit != nil {
			c.unit(*unit, fieldIn(p.table.node, "unit"))
		}
	}
}

func fieldIn(t *syntax.Table, name string) syntax.Pos {
	for _, f := range t.Fields {
		if key, is := f.Key.(*syntax.Text); is && key.Value == name {
			return f.Value.Pos()
		}
	}
	return t.At
}

// wholeTrial looks whether what a trial names is there: the procedure, its parameters and its values.
func (c *checker) wholeTrial() {
	of := c.tableOfDeclaration()
	if of == nil {
		return
	}
	c.loose(of)
	c.truths(of)
	name := of.fields["procedure"]
	if name == nil || len(name.values) != 1 {
		return
	}
	word, is := name.values[0].(string)
	if !is {
		return
	}
	p, err := c.procedureNamed(word)
	if err != nil {
		c.add(Error, wrongField, fieldIn(of.node, "procedure"), fault.HintOf(err), "%s", err)
		return
	}
	if p == nil {
		return
	}
	if c.k.tested == nil {
		c.k.tested = map[string]*checker{}
	}
	tested := c.k.tested[string(p.Source)]
	if tested == nil {
		tested = c.k.checker(c.ctx, source{p.File, p.Source, p.Find})
		tested.check()
		c.k.tested[string(p.Source)] = tested
	}
	if tested.contract == nil {
		return
	}
	c.trialParams(of, tested.contract)
	c.trialValues(of, tested.recordedIDs())
}

func (c *checker) tableOfDeclaration() *table {
	if c.declaration == nil || len(c.declaration.Args) != 1 {
		return nil
	}
	t, is := c.declaration.Args[0].(*syntax.Table)
	if !is {
		return nil
	}
	return c.tables[t]
}

// procedureNamed finds what a trial tests: a shipped procedure, or a file beside the trial; nil where nobody can say.
func (c *checker) procedureNamed(word string) (*procedure.Procedure, error) {
	if !procedure.IsPath(word) {
		return procedure.Find(word, c.k.Shipped)
	}
	src, err := c.src.find(strings.TrimPrefix(word, "./"))
	if err != nil {
		return nil, nil // a path that leads elsewhere is the trial's own business
	}
	return &procedure.Procedure{Name: word, File: word, Source: src, Find: c.src.find}, nil
}

func (c *checker) trialParams(of *table, contract *script.Contract) {
	params := of.fields["params"]
	if params == nil || params.table == nil {
		return
	}
	var names []string
	for i := range contract.Params {
		names = append(names, contract.Params[i].Name)
	}
	for _, name := range params.table.names {
		if contract.Param(name) == nil {
			c.add(Error, noSuchParam, c.keyOf(of, params, name), near(name, names, "its parameters are"), "the procedure has no parameter %s", short(name))
		}
	}
}

func (c *checker) keyOf(of *table, inside *typ, name string) syntax.Pos {
	if inside.table.node != nil {
		return keyPos(inside.table.node, name)
	}
	return of.node.At
}

func (c *checker) trialValues(of *table, known ids) {
	expect := of.fields["expect"]
	if expect == nil || expect.table == nil || known.open {
		return
	}
	for _, id := range expect.table.names {
		if slices.Contains(known.known, id) || slices.ContainsFunc(known.prefixes, func(p string) bool { return strings.HasPrefix(id, p) }) {
			continue
		}
		names := slices.Compact(slices.Sorted(slices.Values(known.known)))
		c.add(Error, noSuchValue, c.keyOf(of, expect, id), near(id, names, "its values are"), "the procedure records no value %s", short(id))
	}
}

// records of a library are values, and not notes alone.
func (c *checker) recordsValues() bool {
	whole, notes := 0, 0
	visit(c.tree.Body, func(n any) {
		switch n := n.(type) {
		case *syntax.Ident:
			if n.Text == "record" || n.Text == "_G" {
				whole++
			}
		case *syntax.Index:
			id, isName := n.Object.(*syntax.Ident)
			key, isText := n.Key.(*syntax.Text)
			if isName && isText && id.Text == "record" && key.Value != "value" {
				notes++
			}
		}
	})
	return whole > notes || slices.ContainsFunc(c.required, (*checker).recordsValues)
}

// recordedIDs are the ids of all values that a procedure may record; those that a library records may be any.
func (c *checker) recordedIDs() ids {
	all := c.ids
	for _, lib := range c.required {
		if lib.recordsValues() {
			all.open = true
		}
	}
	return all
}
