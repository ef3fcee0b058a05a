package script

import "encoding/json"

// ShowStep writes a recorded step as a script asks it: patches.show{grey=1}.
// One that no module declares, such as another version's, is its name and its
// arguments as they are kept.
func ShowStep(modules []*Module, name string, args json.RawMessage) string {
	for _, m := range modules {
		for _, f := range m.Funcs {
			if f.Name == name && f.Class == ClassStep {
				return name + f.args.Show(args)
			}
		}
	}
	return name + string(args)
}
