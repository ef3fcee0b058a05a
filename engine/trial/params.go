package trial

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"candelua/engine/script"
)

// paramsOf gives the procedure's parameters the values that the trial states,
// by the same checks as the command line's. Where the procedure is not the
// trial's own, what it has no parameter for is left out, with a note.
func paramsOf(c *script.Contract, stated map[string]any, other bool) (params script.Params, notes []string, err error) {
	var set []string
	for _, name := range slices.Sorted(maps.Keys(stated)) {
		i := slices.IndexFunc(c.Params, func(p script.Param) bool { return p.Name == name })
		if i < 0 && other {
			notes = append(notes, fmt.Sprintf("the procedure has no parameter %s; what the trial states of it is left out", name))
			continue
		}
		text := "" // of an unknown one, which Values refuses with the nearest name
		if i >= 0 {
			if text, err = paramText(&c.Params[i], stated[name]); err != nil {
				return nil, nil, fmt.Errorf("params: %w", err)
			}
		}
		set = append(set, name+"="+text)
	}
	if params, err = c.Values(set); err != nil {
		return nil, nil, fmt.Errorf("params: %w", err)
	}
	return params, notes, nil
}

// paramText spells a value as the command line would.
func paramText(p *script.Param, x any) (string, error) {
	refuse := func() (string, error) {
		return "", &script.ArgError{Arg: p.Name, Got: kindOf(x), Want: p.Want(), Tip: p.Help}
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
