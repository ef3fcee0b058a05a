package script

import (
	"context"
	"os"
	"strings"
	"testing"
)

// execute runs a source in a machine of its own and returns what it printed.
func execute(t testing.TB, name, src string, lim Limits) (string, error) {
	t.Helper()
	var out strings.Builder
	m := newMachine(context.Background(), lim, func(s string) { out.WriteString(s + "\n") }, 1)
	defer m.close()
	m.requires(nil)
	proto, err := compile(name, []byte(src), lim)
	if err != nil {
		return "", err
	}
	_, err = m.call(m.load(proto), 0)
	return out.String(), err
}

func TestX(t *testing.T) {
	src, _ := os.ReadFile(os.Getenv("LUAFILE"))
	out, err := execute(t, "x.lua", string(src), Limits{})
	os.Stdout.WriteString(out)
	if err != nil {
		os.Stdout.WriteString(err.Error() + "\n")
		if e, ok := err.(*Error); ok {
			os.Stdout.WriteString(e.Traceback() + "\n")
		}
	}
}
