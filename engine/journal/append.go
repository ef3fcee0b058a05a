package journal

import (
	"fmt"
	"io"
)

// Append writes a record after the last one and takes it into the view. The grammar that it must fit is in
// the package comment; a record that does not fit is refused with errRefused, and the journal goes on.
//
// When the file cannot be written, synced or cut, the error matches [ErrBroken] and its cause, and so
// does that of every Append after it: the file may then end in a torn line, or in a record that is whole
// though it was not acknowledged. Everything acknowledged before is in the file; Open it again to go on.
func (j *Journal) Append(r Record) error {
	if err := j.writable(); err != nil {
		return err
	}
	e := r.event()
	line, sum, err := j.encode(&r, e)
	if err != nil {
		return fmt.Errorf("%s: record %d: %w: %w", j.path, len(j.view.entries)+1, errRefused, err)
	}
	if err := j.write(line[len(j.data):], syncs(r.Kind)); err != nil {
		j.broken = fmt.Errorf("%s: record %d could not be written, the records before it are kept: %w: %w",
			j.path, len(j.view.entries)+1, ErrBroken, err)
		return j.broken
	}
	if syncs(r.Kind) {
		if err := j.secure(line); err != nil {
			j.broken = fmt.Errorf("%s: the journal %w: %w", j.path, err, ErrBroken)
			return j.broken
		}
	}
	j.data = line
	j.chain.move(sum)
	j.view.apply(e, len(line))
	return nil
}

// writable reports why nothing can be appended.
func (j *Journal) writable() error {
	switch {
	case j.mode == readOnly:
		return fmt.Errorf("%s: %w", j.path, errReadOnly)
	case j.mode == closed:
		return fmt.Errorf("%s: %w", j.path, errClosed)
	}
	return j.broken
}

// encode checks r and returns the journal's bytes with r's line behind them. Nothing is changed yet but
// the spare room behind the bytes.
func (j *Journal) encode(r *Record, e event) (data []byte, sum [sumLen]byte, err error) {
	if err = r.normalize(); err != nil {
		return nil, sum, err
	}
	if err = j.view.check(e); err != nil {
		return nil, sum, err
	}
	from := len(j.data)
	data = appendRecord(j.data, r, r.fields())
	sum = j.chain.next(data[from:])
	data = append(data, sumKey...)
	data = append(data, sum[:]...)
	data = append(data, sumEnd+"\n"...)
	if n := len(data) - from - 1; n > maxLine {
		return nil, sum, fmt.Errorf("%s is %d bytes long, want at most %d", r.Kind, n, maxLine)
	}
	return data, sum, nil
}

// normalize checks r's own fields and puts its raw values on one line.
func (r *Record) normalize() (err error) {
	if err = checkFields(r.Kind, r.fields()); err != nil {
		return err
	}
	if err = r.checkValues(); err != nil {
		return err
	}
	if r.Args, err = compactRaw("args", r.Args); err != nil {
		return err
	}
	r.Data, err = compactRaw("data", r.Data)
	return err
}

// syncs reports whether a record of this kind must be on the disk before the run goes on.
func syncs(k Kind) bool {
	return k == KindAnswer || k == KindVoid || k == KindPause || k == KindEnd || k == KindAside
}

// write brings a line into the file, and onto the disk where sync and the options say so.
func (j *Journal) write(line []byte, sync bool) error {
	if j.file == nil {
		return nil
	}
	if j.trim {
		if err := j.file.Truncate(int64(len(j.data))); err != nil {
			return err
		}
		j.trim = false
	}
	n, err := j.file.Write(line)
	if err == nil && n < len(line) {
		err = io.ErrShortWrite
	}
	if err != nil {
		return err
	}
	j.unsaved = true
	return j.save(sync && j.options.Sync)
}

// save has all that was written on the disk, if so asked.
func (j *Journal) save(sync bool) error {
	if !sync {
		return nil
	}
	if err := j.file.Sync(); err != nil {
		return err
	}
	j.unsaved = false
	return nil
}
