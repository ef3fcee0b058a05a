package main

import (
	"fmt"
	"io"
	"os"
	"time"

	"candelua/engine"
)

// progress says what is being done: on a terminal in one line that is written
// over, about ten times a second; else as debug messages.
func (a *app) progress(w io.Writer) func(engine.Progress) {
	file, isFile := w.(*os.File)
	if !isFile || !isTerminal(file) {
		return func(p engine.Progress) {
			if a.log.IsDebug() {
				a.log.Debug("step", "number", p.Step, "line", p.At, "at", p.Now, "asks", p.Show)
			}
		}
	}
	var last time.Time
	return func(p engine.Progress) {
		if time.Since(last) < 100*time.Millisecond {
			return
		}
		last = time.Now()
		text := fmt.Sprintf("step %d, %s: %s", p.Step, clockText(p.Now), p.Show)
		if len(text) > 76 {
			text = text[:75] + "…"
		}
		fmt.Fprintf(w, "\r\x1b[K%s\r", text)
	}
}

// clockText writes seconds as 1:02:03.
func clockText(seconds float64) string {
	s := int(seconds)
	return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
}
