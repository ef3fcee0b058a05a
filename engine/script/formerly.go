package script

import (
	"encoding/json"
	"maps"
	"slices"
	"strconv"
	"strings"

	"candelua/engine/declare"
	"candelua/engine/fault"
)

// Param finds a parameter by its present or a former name, nil where there is none.
func (c *Contract) Param(name string) *Param {
	for i := range c.Params {
		if p := &c.Params[i]; p.Name == name || slices.Contains(p.Formerly, name) {
			return p
		}
	}
	return nil
}

func (c *Contract) names() []string {
	all := make([]string, len(c.Params))
	for i := range c.Params {
		all[i] = c.Params[i].Name
	}
	return all
}

// checkFormerly refuses a former name that does not lead to one parameter.
func checkFormerly(word string, params []Param) error {
	owner := map[string]string{}
	for i := range params {
		owner[params[i].Name] = "is the name of a parameter"
	}
	for i := range params {
		for k, name := range params[i].Formerly {
			wrong := func(got string) error {
				return &fault.ArgError{Arg: word + "." + params[i].Name + ": formerly" + declare.Index(k+1), Got: got, Want: "a name that no parameter has or had"}
			}
			if strings.TrimSpace(name) == "" || strings.Contains(name, "=") {
				return wrong(strconv.Quote(name))
			}
			if is, taken := owner[name]; taken {
				return wrong(strconv.Quote(name) + ", which " + is)
			}
			owner[name] = "is listed as a former name of " + params[i].Name
		}
	}
	return nil
}

// keptAs gives the name under which a kept head has the parameter, "" for none.
func (p *Param) keptAs(kept map[string]any) (name string, err error) {
	for _, n := range append([]string{p.Name}, p.Formerly...) {
		if _, there := kept[n]; !there {
			continue
		}
		if name != "" {
			return "", givenTwice(p, name, n)
		}
		name = n
	}
	return name, nil
}

// givenTwice refuses a parameter that is given by two of its names.
func givenTwice(p *Param, a, b string) error {
	return &fault.ArgError{Arg: "the parameter " + p.Name, Got: "is given twice, as " + a + " and as " + b, Tip: "give it once, as " + p.Name}
}

// settingsOf parts the settings of a contract from the names that their controls had
// before.
func settingsOf(stated map[string]any) (settings map[string]any, former map[string]string, err error) {
	settings, former = maps.Clone(stated), map[string]string{}
	for _, name := range slices.Sorted(maps.Keys(stated)) {
		renamed, is := stated[name].(map[string]any)
		value, there := renamed["value"]
		list, isList := renamed["formerly"].([]any)
		if !is || !there || !isList || len(renamed) != 2 {
			continue // what it is otherwise is checked as a value
		}
		settings[name] = value
		for i, x := range list {
			was, isText := x.(string)
			_, present := stated[was]
			if _, taken := former[was]; !isText || present || taken {
				return nil, nil, &fault.ArgError{Arg: "settings" + declare.Key(name) + ".formerly" + declare.Index(i+1), Got: declare.Show(x), Want: "a name that no control of the settings has or had"}
			}
			former[was] = name
		}
	}
	return settings, former, nil
}

// FormerControls are the names that a control of the settings had before, sorted.
func (c *Contract) FormerControls(name string) []string {
	var all []string
	for was, is := range c.former {
		if is == name {
			all = append(all, was)
		}
	}
	slices.Sort(all)
	return all
}

// differing is f's comparison of arguments. Of the unit's controls, what is recorded
// under a former name is the present one's.
func (rt *Runtime) differing(f *Func) func(recorded, asked json.RawMessage) ([]string, error) {
	if f.Name != "unit.set" || rt.contract == nil || len(rt.contract.former) == 0 {
		return f.differing
	}
	return func(recorded, asked json.RawMessage) ([]string, error) {
		var settings map[string]json.RawMessage
		if err := json.Unmarshal(recorded, &settings); err != nil {
			return nil, err
		}
		for was, name := range rt.contract.former {
			if value, there := settings[was]; there && settings[name] == nil {
				settings[name] = value
				delete(settings, was)
			}
		}
		now, err := json.Marshal(settings)
		if err != nil {
			return nil, err
		}
		return f.differing(now, asked)
	}
}
