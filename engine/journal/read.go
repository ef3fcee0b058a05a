package journal

import (
	"bytes"
	"errors"
	"fmt"

	"candelua/engine/regular"
)

// maxLine is the length, in bytes, that a record's line may have without its newline.
const maxLine = 64 << 20

var errSum = errors.New("its checksum does not match its content and the record before it")

// read verifies the file at path.
func read(path string) (*Journal, error) {
	data, err := regular.Read(path)
	if err != nil {
		return nil, fmt.Errorf("journal cannot be read: %w", err)
	}
	return parse(path, data)
}

// parse verifies the bytes of a journal. It keeps data.
func parse(path string, data []byte) (*Journal, error) {
	j := &Journal{path: path, chain: newChain()}
	j.view.entries = make([]entry, 0, bytes.Count(data, []byte{'\n'}))
	from := 0
	for from < len(data) {
		length := bytes.IndexByte(data[from:], '\n')
		if length < 0 {
			j.torn = len(data) - from
		}
		if length > maxLine || j.torn > maxLine {
			return nil, j.damage(fmt.Errorf("its line is longer than %d bytes", maxLine))
		}
		if j.torn > 0 {
			break
		}
		end := from + length + 1
		if err := j.take(data[from:end-1], end); err != nil {
			return nil, j.damage(err)
		}
		from = end
	}
	if len(j.view.entries) == 0 {
		return nil, j.damage(errors.New("its head is missing, so nothing was recorded; start a new run"))
	}
	j.data = data[:from]
	return j, nil
}

// damage says that the record after the last good one is damaged, or that its head has another format.
func (j *Journal) damage(why error) error {
	if v, ok := why.(*VersionError); ok {
		v.path = j.path
		return v
	}
	return &DamageError{path: j.path, Record: len(j.view.entries) + 1, Why: why.Error()}
}

// take verifies one line and takes it in.
func (j *Journal) take(line []byte, end int) error {
	body, stated, ok := splitLine(line)
	if len(j.view.entries) == 0 {
		return j.takeHead(line, end)
	}
	if !ok {
		return errors.New("it does not end with a checksum")
	}
	sum := j.chain.next(body)
	if string(stated) != string(sum[:]) {
		return errSum
	}
	if err := parseRecord(body, &j.scratch); err != nil {
		return err
	}
	e := j.scratch.event()
	if err := j.view.check(e); err != nil {
		return err
	}
	j.chain.move(sum)
	j.view.apply(e, end)
	return nil
}

// takeHead verifies the first line. It goes by its beginning first, because another format's line may end
// in another way.
func (j *Journal) takeHead(line []byte, end int) error {
	body, stated, ok := splitLine(line)
	if !ok {
		body = line
	}
	sum := j.chain.next(body)
	head, err := parseHead(body, ok && string(stated) == string(sum[:]))
	if err != nil {
		return err
	}
	j.head = head
	j.chain.move(sum)
	j.view.apply(event{kind: KindHead}, end)
	return nil
}

// body returns the bytes of a record before its sum.
func (j *Journal) body(record int) []byte {
	from := 0
	if record > 1 {
		from = j.view.entries[record-2].end
	}
	return j.data[from : j.view.entries[record-1].end-1-tailLen]
}

// parsed finds the fields of a record that was verified before.
func (j *Journal) parsed(record int, p *parsed) {
	if err := parseRecord(j.body(record), p); err != nil {
		panic(fmt.Sprintf("journal: record %d was verified and is now refused: %v", record, err))
	}
}
