// Package script runs procedures: Lua in a sandbox, bound to Go by one typed declaration for each builtin.
//
// A [Program] is a script that was read and compiled once. A [Runtime] is one execution of it, in a machine of its own. Executing
// always begins at the script's start: a function that was cut off is never called again in the same Lua state.
//
// # Conventions
//
//   - While a script loads, it can call pure builtins only ([ErrLoading]). That is how a contract is read safely.
//   - An error of a builtin is shown as name: what is wrong ([CallError]), with a code that scripts can tell errors apart by.
//   - A panic in a builtin is a bug of ours: it ends the run, and no script catches it.
//   - Script time is in seconds and moves only at answers ([Call.Now]).
//
// # What a builtin is
//
// A builtin is a [Func], declared by one of five functions. The declaration says the name, one line of help, the struct of arguments
// (package declare), and what it is to the engine, its [Class]:
//
//	Pure      class pure     computed from its arguments; never in the journal
//	Step      class step     touches the world; in the journal
//	Sampling  class step     a step that takes single readings on its way; each is kept as it comes
//	Output    class output   says a result
//	Scope     class scope    calls a function of the script; never a step itself
//
// A [Module] is a set of builtins under one name. The binding to Lua, the checks of arguments and their messages, the encoding in the
// journal, candelua api and completion all come from the declaration ([Func.Doc]).
//
// No builtin is ever removed, because the scripts of old runs call it. [Hidden] takes it out of the reference, completion and suggestions.
//
// # A step has three types
//
// A is what was asked, W what the world answered, kept raw, and R what the script is given.
//
//	live:   A -> W      the only code that touches the world
//	derive: A, W -> R   runs on live and on recorded answers alike
//
// Arguments must be absolute and safe to repeat, because a step may be taken again. W must hold what the world said and nothing that was
// computed, so that a later version can compute better from an old record. derive must not change what it is given, because many executions
// share it ([Memo]). [Requesting] says what a step asks of its device, so that the engine knows what it left there. [Checking] refuses arguments
// that do not go together before anything is asked. A number that is not finite must never get into an answer.
//
// # What a call may hand over
//
// All that a script hands to the engine is measured in bytes before it is copied, and its work is charged before it is done: where
// arguments are taken ([declare.Intake]), so that a new builtin needs no line for it. The limits are in limits.go ([Limits]): one text, the
// contract, one step, the steps and the results of a run, what is printed. What a journal grows by is bounded by them too: a step or a part
// costs so much work, so that few fit between two contacts with the world; its arguments and its answer are at most 1 MiB each, and the
// arguments of all steps of a run 64 MiB. Samples and times are as many as the instruments give. Runs by rules before 4 keep the limits that
// they had.
//
// A builtin whose work does not follow from the length of its arguments declares what it costs ([Costing]), or charges it with [Call.Charge],
// before it does it.
//
// # The door
//
// A step goes through [Door], which package play implements: it answers from the journal or from the world ([Ask], [Kept]). A script that is
// only described has no door, no bench and no results: its [Host] is empty.
//
// # State between calls
//
// [State] is what builtins keep during one execution. It must follow from answers alone, so that a replay makes it again. State that on_resume
// must leave as it was implements [Saver]: Save gives what puts it back. What a step does that cannot be put back, such as a new dark level, stays.
//
// # The contract
//
// A step must be among the needs of the contract, with the ability that it uses: else it is an error, also where the bench happens to have it
// (needs.go). What a request needs is said once, in [bench.Abilities].
//
// procedure { … } gives a [Contract]: title, purpose, needs, settings, params, caution, flashing, on_resume and run. A parameter or a setting that is
// renamed lists its former names (formerly), so that old runs still replay (formerly.go).
//
// # Many executions
//
// [Draws] says that an execution is one of many over one journal: [Look] for the one that sees what there is to draw, then draws from 0.
// [SharedState] is what all of them have in common.
//
// # Where it ends
//
// The package knows the interfaces of a bench, and no journal. It does not know which builtins there are: the command line hands them over.
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

// anyName stands for the arguments whose names the caller chooses.
const anyName = "[any name]"

// Doc gives the builtin's reference page.
func (f *Func) Doc() Doc {
	d := Doc{Name: f.Name, Class: f.Class, Help: f.Help, Args: ArgDocs(f.args), Gives: f.gives}
	if d.Gives == "" {
		d.Gives = givenName(f.given)
	}
	d.Fields = fieldDocs(f.given)
	return d
}

// ArgDocs are the arguments of a plan, or the fields of a table.
func ArgDocs(p *declare.Plan) []ArgDoc {
	docs := []ArgDoc{}
	for i := range p.Fields {
		a := &p.Fields[i]
		if i == p.Self {
			continue
		}
		doc := ArgDoc{Name: a.Name, Want: a.Allowed(), Default: a.DefText, Help: a.Help, Required: !a.AbsentAllowed()}
		for place, n := range p.Positional {
			if n == i {
				doc.Place = place + 1
			}
		}
		if i == p.Rest {
			doc.Name, doc.Required, doc.Want = anyName, false, "a value"
		}
		docs = append(docs, doc)
	}
	return docs
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
		case a.Place > 0 && a.Required:
			places = append(places, a.Name)
		case a.Place > 0:
			places = append(places, a.Name+"?")
		case a.Name == anyName:
			names = append(names, "name = value, …")
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
		if !d.needsNamed() {
			options += "?"
		}
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

// needsNamed says whether a named argument must be given.
func (d Doc) needsNamed() bool {
	for _, a := range d.Args {
		if a.Place == 0 && a.Required {
			return true
		}
	}
	return false
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
