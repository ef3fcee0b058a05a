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
	given := map[string]string{} // as it was spelt
	for _, name := range slices.Sorted(maps.Keys(t.Params)) {
		p := c.Param(name)
		if other && p == nil {
			notes = append(notes, fmt.Sprintf("the procedure has no parameter %s; the trial's value for it is ignored", name))
			continue
		}
		value, err := valueOf(c, name, t.Params[name])
		if err != nil {
			return nil, nil, t.wrong(fmt.Errorf("params: %w", err), "params", name)
		}
		if was, twice := given[p.Name]; twice {
			return nil, nil, t.wrong(fmt.Errorf("params: %s is given twice, as %s and as %s; give it once, as %s", p.Name, was, name, p.Name), "params", name)
		}
		given[p.Name], params[p.Name] = name, value
	}
	return params, notes, nil
}

// valueOf gives one parameter's value. An unknown one is refused with the
// nearest name.
func valueOf(c *script.Contract, name string, stated any) (any, error) {
	p := c.Param(name)
	if p == nil {
		_, err := c.Values([]string{name + "="})
		return nil, err
	}
	text, err := paramText(p, stated)
	if err != nil {
		return nil, err
	}
	return p.Parse(text)
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
