package store

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// errName is the cause of an error where a name cannot be a file's name on
// every system.
var errName = errors.New("want a file name that every system accepts")

// maxName is the most bytes that one name has.
const maxName = 120

// reserved names are devices on some systems, with any ending.
var reserved = []string{
	"con", "prn", "aux", "nul", "conin$", "conout$",
	"com0", "com1", "com2", "com3", "com4", "com5", "com6", "com7", "com8", "com9", "com¹", "com²", "com³",
	"lpt0", "lpt1", "lpt2", "lpt3", "lpt4", "lpt5", "lpt6", "lpt7", "lpt8", "lpt9", "lpt¹", "lpt²", "lpt³",
}

// fileOf returns the file's name for an id. Ids have no underscore, so that the one
// put after a device's name clashes with none.
func fileOf(id, ending string) string {
	if slices.Contains(reserved, id) {
		id += "_"
	}
	return id + ending
}

// checkName refuses what cannot be the name of a file or folder on every
// system (errName): one that is empty or longer than maxName bytes, is not
// UTF-8, has a slash, a control character or one of \ : * ? " < > |, begins
// with a dot or a space, ends with either, or is a device's name.
//
// Source: the rules of the common systems, from memory.
func checkName(name string) error {
	bad := func(why string) error {
		if len(name) > maxName {
			name = strings.ToValidUTF8(name[:maxName], "") + "…"
		}
		return fmt.Errorf("name %q %s: %w", name, why, errName)
	}
	stem, _, _ := strings.Cut(strings.ToLower(name), ".")
	switch {
	case name == "":
		return bad("is empty")
	case len(name) > maxName:
		return bad(fmt.Sprintf("has %d bytes, want at most %d", len(name), maxName))
	case !utf8.ValidString(name):
		return bad("is not UTF-8")
	case strings.ContainsFunc(name, unicode.IsControl) || strings.ContainsAny(name, `/\:*?"<>|`):
		return bad(`has a slash, a control character or one of \ : * ? " < > |`)
	case strings.Trim(name, ". ") != name:
		return bad("begins or ends with a dot or a space")
	case slices.Contains(reserved, strings.TrimSpace(stem)):
		return bad("is a device on some systems")
	}
	return nil
}

// checkPath checks each part of a slash-separated relative path by
// checkName; it has eight parts at most.
func checkPath(path string) error {
	parts := strings.Split(path, "/")
	if len(parts) > 8 {
		return fmt.Errorf("path %q has %d parts, want at most 8: %w", path[:min(len(path), maxName)], len(parts), errName)
	}
	for _, part := range parts {
		if err := checkName(part); err != nil {
			return fmt.Errorf("path %q: %w", path[:min(len(path), maxName)], err)
		}
	}
	return nil
}

// fold makes names that some system takes for one another equal.
func fold(name string) string { return strings.ToLower(strings.ToUpper(name)) }
