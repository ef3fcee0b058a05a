package scripted

import (
	"reflect"

	"candelua/engine/declare"
	"candelua/engine/script"
)

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
