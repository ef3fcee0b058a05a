package script

import (
	"reflect"
	"strings"

	"candelua/engine/declare"
)

// Doc is what the reference page says of a builtin.
type Doc struct {
	Name   string     `json:"name"`
	Class  Class      `json:"class"`
	Help   string     `json:"help"`
	Args   []ArgDoc   `json:"args"`
	Gives  string     `json:"gives,omitempty"`  // what the script gets, in words
	Fields []FieldDoc `json:"fields,omitempty"` // of what the script gets, if it is an object
}

// ArgDoc is one argument.
type ArgDoc struct {
	Name     string `json:"name"`
	Place    int    `json:"place,omitempty"` // 0: named
	Want     string `json:"want"`
	Default  string `json:"default,omitempty"`
	Required bool   `json:"required"`
	Help     string `json:"help,omitempty"`
}

// FieldDoc is one field of an object, or of a module.
type FieldDoc struct {
	Name string `json:"name"`
	Unit string `json:"unit,omitempty"`
	Help string `json:"help,omitempty"`
}

// Doc gives the builtin's reference page.
func (f *Func) Doc() Doc {
	d := Doc{Name: f.Name, Class: f.Class, Help: f.Help, Args: []ArgDoc{}, Gives: f.gives}
	if d.Gives == "" {
		d.Gives = givenName(f.given)
	}
	for i := range f.args.Fields {
		a := &f.args.Fields[i]
		if i == f.args.Self {
			continue
		}
		doc := ArgDoc{Name: a.Name, Want: a.Want(), Default: a.DefText, Help: a.Help, Required: !a.AbsentAllowed()}
		for place, n := range f.args.Positional {
			if n == i {
				doc.Place = place + 1
			}
		}
		if i == f.args.Rest {
			doc.Name, doc.Required, doc.Want = "[any name]", false, "a value"
		}
		d.Args = append(d.Args, doc)
	}
	d.Fields = fieldDocs(f.given)
	return d
}

func givenName(t reflect.Type) string {
	switch {
	case t == reflect.TypeFor[None]():
		return ""
	case t == passedType:
		return "what the function returns"
	case t == reflect.TypeFor[Bound]():
		return "a module"
	case t.Kind() == reflect.Pointer:
		return givenName(t.Elem())
	case t.Kind() == reflect.Interface:
		return "a value"
	case t.Kind() == reflect.Slice && t.Elem() != declare.ValueType:
		return "a list of " + new(declare.Field).Elements(t.Elem())
	}
	return declare.NameOfType(t)
}

func fieldDocs(t reflect.Type) []FieldDoc {
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if t.Kind() != reflect.Struct {
		return nil
	}
	var docs []FieldDoc
	for i := range t.NumField() {
		f := t.Field(i)
		if name, ok := f.Tag.Lookup("lua"); ok {
			docs = append(docs, FieldDoc{Name: name, Unit: f.Tag.Get("unit"), Help: f.Tag.Get("help")})
		}
	}
	return docs
}

// Signature writes the call as a script would.
func (d Doc) Signature() string {
	var places, names []string
	last := "" // a function reads best behind the options
	for _, a := range d.Args {
		switch {
		case a.Place > 0:
			places = append(places, a.Name)
		case a.Required:
			names = append(names, a.Name)
		default:
			names = append(names, a.Name+"?")
		}
	}
	if len(places) == 0 && len(names) > 0 {
		return d.Name + "{ " + strings.Join(names, ", ") + " }"
	}
	if len(names) > 0 {
		options := "{ " + strings.Join(names, ", ") + " }"
		if n := len(places); d.lastIsFunction() {
			places, last = places[:n-1], places[n-1]
		}
		places = append(places, options)
		if last != "" {
			places = append(places, last)
		}
	}
	return d.Name + "(" + strings.Join(places, ", ") + ")"
}

// lastIsFunction says whether the last of the arguments by place is a function
// of the script.
func (d Doc) lastIsFunction() bool {
	place, is := 0, false
	for _, a := range d.Args {
		if a.Place > place {
			place, is = a.Place, a.Want == declare.FunctionWord
		}
	}
	return is
}
