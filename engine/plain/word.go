package plain

import (
	"fmt"
	"runtime"
	"strings"
	"unicode/utf8"
)

// Word writes a path so that a shell takes it for one word, and a command for no
// flag. What cannot be shown is written as the shells bash, zsh and those of POSIX
// 2024 read it, $'\033': the command works when it is copied.
//
// Source: [POSIX.1-2024], Shell Command Language, 2.2 Quoting.
func Word(path string) string {
	if strings.HasPrefix(path, "-") {
		path = "./" + path
	}
	switch {
	case path != "" && strings.Trim(path, plainInShell) == "" && path[0] != '=':
		return path
	case runtime.GOOS == "windows":
		return `"` + Line(path) + `"` // a name there holds no quote
	case path == Line(path):
		return "'" + strings.ReplaceAll(path, "'", `'\''`) + "'"
	}
	var b strings.Builder
	b.WriteString("$'")
	for len(path) > 0 {
		r, size := utf8.DecodeRuneInString(path)
		switch {
		case r == '\'' || r == '\\':
			b.WriteString(`\` + path[:size])
		case unsafe(r), r == utf8.RuneError:
			for _, octet := range []byte(path[:size]) {
				fmt.Fprintf(&b, `\%03o`, octet)
			}
		default:
			b.WriteString(path[:size])
		}
		path = path[size:]
	}
	b.WriteString("'")
	return b.String()
}

// plainInShell are the characters that no shell gives a meaning, but an = at the start.
const plainInShell = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_./:=+,@"
