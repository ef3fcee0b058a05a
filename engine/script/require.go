package script

// Loader finds a module by its checked name: a file beside the procedure, or a
// shipped library. It returns the name of the file for messages, and its text.
type Loader func(name string) (file string, src []byte, err error)

// requires gives the script the function require.
func (m *machine) requires(loader Loader) {}
