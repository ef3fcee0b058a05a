package plain

import (
	"regexp"
	"strings"
)

// escape is a command to a terminal, such as one for a colour (ECMA-48, 5.4, from memory).
var escape = regexp.MustCompile("\x1b\\[[0-?]*[ -/]*[@-~]")

// Uncoloured is text without commands to a terminal, such as another program writes there.
func Uncoloured(s string) string {
	if !strings.Contains(s, "\x1b") {
		return s
	}
	return escape.ReplaceAllString(s, "")
}
