package bench

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// maxFileBytes bounds the files that are read: they are written by hand.
const maxFileBytes = 64 << 10

// maxDepth bounds the tables within tables whose lines are noted. Only options
// go deeper than three; what is wrong further down is named by its option.
const maxDepth = 8

// document is a TOML file that is being read strictly. The library parses it;
// what is allowed where is checked here, so that a message speaks of the file
// and not of Go types. The failure that comes first in the file is kept.
type document struct {
	name    string
	values  map[string]any
	lines   map[string]int // by path, see pathKey
	err     error
	errLine int
}

// parseDocument parses the file and notes on which line each key stands.
func parseDocument(name string, src []byte) (*document, error) {
	if len(src) > maxFileBytes {
		return nil, Errorf(CodeBadFile, "", "%s: file has %d bytes; it must have at most %d", name, len(src), maxFileBytes)
	}
	src = bytes.TrimPrefix(src, []byte("\xef\xbb\xbf"))
	src = src[:len(src):len(src)] // the library measures positions by capacity
	doc := &document{name: name, values: map[string]any{}, lines: map[string]int{}}
	if err := toml.Unmarshal(src, &doc.values); err != nil {
		return nil, syntaxError(name, err)
	}
	doc.index(src)
	return doc, nil
}

func syntaxError(name string, err error) error {
	line, text := 0, err.Error()
	var at *toml.DecodeError
	if errors.As(err, &at) {
		line, _ = at.Position()
	}
	return Errorf(CodeBadFile, "the file must be TOML: put texts in quotes and names of tables in brackets",
		"%s: %s", where(name, line), strings.TrimPrefix(text, "toml: "))
}

// index notes the line of each key and of each table that the file opens.
func (d *document) index(src []byte) {
	parser := &unstable.Parser{}
	parser.Reset(src)
	var table []string
	for parser.NextExpression() {
		node := parser.Expression()
		switch node.Kind {
		case unstable.Table, unstable.ArrayTable:
			table = d.note(src, nil, node)
		case unstable.KeyValue:
			d.indexValue(src, table, node)
		}
	}
}

// indexValue notes a key and, below it, the keys of an inline table.
func (d *document) indexValue(src []byte, table []string, node *unstable.Node) {
	path := d.note(src, table, node)
	value := node.Value()
	if value.Kind != unstable.InlineTable || len(path) >= maxDepth {
		return
	}
	for it := value.Children(); it.Next(); {
		d.indexValue(src, path, it.Node())
	}
}

// note keeps the line of a node's key, and of the tables that it opens on its
// way, and returns its path, cut at maxDepth.
func (d *document) note(src []byte, table []string, node *unstable.Node) []string {
	path := slices.Clone(table)
	for it := node.Key(); it.Next() && len(path) < maxDepth; {
		key := it.Node()
		path = append(path, string(key.Data))
		if at := pathKey(path); d.lines[at] == 0 {
			d.lines[at] = 1 + bytes.Count(src[:key.Raw.Offset], []byte("\n"))
		}
	}
	return path
}

// pathKey joins a path; no key holds a NUL, which TOML forbids unless escaped.
func pathKey(path []string) string { return strings.Join(path, "\x00") }

// fail keeps a failure, unless one earlier in the file is kept already.
func (d *document) fail(line int, hint, format string, args ...any) {
	if d.err != nil && d.errLine <= line {
		return
	}
	d.errLine = line
	d.err = Errorf(CodeBadFile, hint, "%s: %s", where(d.name, line), fmt.Sprintf(format, args...))
}

// where heads a message: "bench.toml:4", without the line where it is 0.
func where(file string, line int) string {
	if file == "" {
		file = "bench"
	}
	if line == 0 {
		return file
	}
	return fmt.Sprintf("%s:%d", file, line)
}

func (d *document) root() *table {
	return &table{doc: d, values: d.values, line: 1}
}
