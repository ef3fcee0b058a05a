package trial

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"candelua/engine/fault"
	"candelua/engine/script"
)

// paramsOf gives the procedure's parameters the values that the trial states,
// by the same checks as the command line's. Where the procedure is not the
// trial's own, what it has no parameter for is left out, with a note.
func (t *Trial) paramsOf(c *script.Contract, other bool) (params script.Params, notes []string, err error) {
	if params, err = c.Values(nil); err != nil {
		return nil, nil, err
	}
	for _, name := range slices.Sorted(maps.Keys(t.Params)) {
		if other && paramOf(c, name) == nil {
			notes = append(notes, fmt.Sprintf("the procedure has no parameter %s; what the trial states of it is left out", name))
			continue
		}
		if params[name], err = valueOf(c, name, t.Params[name]); err != nil {
			return nil, nil, t.wrong(fmt.Errorf("params: %w", err), "params", name)
		}
	}
	return params, notes, nil
}

// paramOf finds a parameter, nil where there is none.
func paramOf(c *script.Contract, name string) *script.Param {
	for i := range c.Params {
		if c.Params[i].Name == name {
			return &c.Params[i]
		}
	}
	return nil
}

// valueOf gives one parameter's value. An unknown one is refused with the
// nearest name.
func valueOf(c *script.Contract, name string, stated any) (any, error) {
	text := ""
	if p := paramOf(c, name); p != nil {
		var err error
		if text, err = paramText(p, stated); err != nil {
			return nil, err
		}
	}
	all, err := c.Values([]string{name + "=" + text})
	if err != nil {
		return nil, err
	}
	return all[name], nil
}

// paramText spells a value as the command line would.
func paramText(p *script.Param, x any) (string, error) {
	refuse := func() (string, error) {
		want := p.Want()
		if _, isNumber := p.Default.(float64); isNumber && !strings.Contains(want, "number") {
			want = "a number, " + want
		}
		return "", &fault.ArgError{Arg: p.Name, Got: kindOf(x), Want: want, Tip: p.Help}
	}
	switch p.Default.(type) {
	case []float64, []string:
		list, ok := x.([]any)
		if !ok || len(list) == 0 {
			return refuse()
		}
		parts := make([]string, len(list))
		for i, e := range list {
			text, ok := scalarText(e)
			_, isText := e.(string)
			if _, wantsText := p.Default.([]string); !ok || isText != wantsText || strings.Contains(text, ",") {
				return refuse()
			}
			parts[i] = text
		}
		return strings.Join(parts, ","), nil
	}
	text, ok := scalarText(x)
	if !ok || fmt.Sprintf("%T", x) != fmt.Sprintf("%T", p.Default) {
		return refuse()
	}
	return text, nil
}

func scalarText(x any) (string, bool) {
	switch x := x.(type) {
	case float64:
		return strconv.FormatFloat(x, 'g', -1, 64), true
	case bool:
		return strconv.FormatBool(x), true
	case string:
		return x, true
	}
	return "", false
}
