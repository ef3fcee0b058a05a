package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"

	"candelua/engine/result"
)

// metaFormat is the version of run.json, and metaKind its kind.
const (
	metaFormat = 1
	metaKind   = "candelua-run"
)

// WriteMeta writes run.json: the members of v, which marshals to an object,
// after "format" and "kind". It fails where v has members of those names.
func (r *Run) WriteMeta(v any) error {
	text, err := headed(metaKind, metaFormat, v)
	if err != nil {
		return fmt.Errorf("run %s: %s: %w", r.path, MetaName, err)
	}
	return r.replace(MetaName, bytesOf(text))
}

// ReadMeta reads run.json into v. It fails on another kind of file and on a
// newer format ([result.ErrNewer]).
func (r *Run) ReadMeta(v any) error { return r.readHeaded(MetaName, metaKind, metaFormat, v) }

// headed marshals an object with format and kind before its members.
func headed(kind string, format int, v any) ([]byte, error) {
	text, err := json.Marshal(v)
	if err != nil {
		return nil, err
	}
	var members map[string]json.RawMessage
	if err := json.Unmarshal(text, &members); err != nil || members == nil {
		return nil, fmt.Errorf("%T is not a JSON object, want one", v)
	}
	for _, taken := range []string{"format", "kind"} {
		if _, ok := members[taken]; ok {
			return nil, fmt.Errorf("%T has a member %q, which is reserved for the head of the file", v, taken)
		}
	}
	whole := fmt.Appendf(nil, "{\"format\":%d,\"kind\":%q", format, kind)
	if len(members) > 0 {
		whole = append(whole, ',')
	}
	whole = append(whole, text[1:]...)
	var b bytes.Buffer
	if err := json.Indent(&b, whole, "", "  "); err != nil {
		return nil, err
	}
	b.WriteByte('\n')
	return b.Bytes(), nil
}

// readIndex reads an index that an earlier writing left, where it can be read: it only says which files are stale. It fails
// on a newer format, which must not be written over.
func (r *Run) readIndex(name, kind string, newest int, v any) error {
	if err := r.readHeaded(name, kind, newest, v); errors.Is(err, result.ErrNewer) {
		return err
	}
	return nil
}

// readHeaded reads a file that headed wrote.
func (r *Run) readHeaded(name, kind string, newest int, v any) error {
	text, err := r.file(name)
	if err != nil {
		return err
	}
	var head result.Head
	if err := json.Unmarshal(text, &head); err != nil {
		return fmt.Errorf("run %s: the file %s is damaged: %w", r.path, name, err)
	}
	if err := head.Check(kind, newest); err != nil {
		return fmt.Errorf("run %s: %s: %w", r.path, name, err)
	}
	if err := json.Unmarshal(text, v); err != nil {
		return fmt.Errorf("run %s: the file %s is damaged: %w", r.path, name, err)
	}
	return nil
}
