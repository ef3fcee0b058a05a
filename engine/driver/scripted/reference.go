package scripted

import (
	"reflect"
	"strings"

	"candelua/engine/declare"
	"candelua/engine/driver"
	"candelua/engine/script"
)

// Plan is what driver { … } is declared as.
func Plan() *declare.Plan { return declare.For(reflect.TypeFor[declaration]()) }

// Names are what a driver file is given beside Lua, with what is in those that are tables.
func Names() map[string][]string {
	names := map[string][]string{"driver": nil, refused.name: nil}
	for _, f := range bytesFunctions {
		module, name, _ := strings.Cut(f.name, ".")
		names[module] = append(names[module], name)
	}
	return names
}

// Fields are the names of what the function of a verb is asked, and of what it may answer; must says that it has to answer.
func Fields(m driver.Message) (asked, answered []string, must bool) {
	for _, f := range declare.For(m.Ask).Fields {
		asked = append(asked, f.Name)
	}
	for _, f := range declare.For(m.Answer).Fields {
		answered = append(answered, f.Name)
	}
	return asked, answered, m.Verb == driver.Read || m.Verb == driver.Lux
}

// LinkNames are the functions of the link.
func LinkNames() []string {
	var names []string
	for _, f := range linkFunctions {
		_, name, _ := strings.Cut(f.name, ":")
		names = append(names, name)
	}
	return names
}

// Reference lists what a driver can call, driver { … } itself first, with the arguments of each.
func Reference() []script.Doc {
	docs := []script.Doc{{
		Name: "driver", Class: script.ClassPure, Help: "declares the driver; the file returns what it gives",
		Args: script.ArgDocs(declare.For(reflect.TypeFor[declaration]())), Gives: "a driver",
	}}
	for _, all := range [][]*function{linkFunctions, {refused}, bytesFunctions} {
		for _, f := range all {
			docs = append(docs, script.Doc{Name: f.name, Class: script.ClassPure, Help: f.help, Args: script.ArgDocs(f.plan), Gives: f.gives})
		}
	}
	return docs
}
