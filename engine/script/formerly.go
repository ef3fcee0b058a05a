package script

import (
	"slices"
	"strconv"
	"strings"
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
func checkFormerly(params []Param) error {
	owner := map[string]string{}
	for i := range params {
		owner[params[i].Name] = "is the name of a parameter"
	}
	for i := range params {
		for k, name := range params[i].Formerly {
			wrong := func(got string) error {
				return &ArgError{Arg: "params." + params[i].Name + ": formerly" + index(k+1), Got: got, Want: "a name that no parameter has or had"}
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
	return &ArgError{Arg: "the parameter " + p.Name, Got: "is given twice, as " + a + " and as " + b, Tip: "give it once, as " + p.Name}
}
