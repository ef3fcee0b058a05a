package main

import (
	"errors"
	"fmt"
	"regexp"

	"candelua/engine/fault"
	"candelua/engine/plain"
	"candelua/engine/procedure"
	"candelua/scripts"
)

// What the file of a procedure and that of a trial return. Either is checked by its
// text alone: the other command's names do not exist where it is read.
var (
	returnsProcedure = regexp.MustCompile(`(?m)^\s*return\s+procedure\b`)
	returnsTrial     = regexp.MustCompile(`(?m)^\s*return\s+trial\b`)
)

// notAProcedure says of a trial that it was given to a command for procedures;
// other errors stay.
func notAProcedure(p *procedure.Procedure, err error) error {
	if err == nil || !returnsTrial.Match(p.Source) {
		return err
	}
	return &flagError{fmt.Errorf("%s is a trial, not a procedure", p.Origin), "run it with: candelua trial " + plain.Word(p.FoundAs())}
}

// notATrial says of a procedure that it was given to a command for trials; other
// errors stay.
func notATrial(name string, err error) error {
	if !procedure.IsPath(name) || !errors.Is(err, fault.ErrUsage) {
		return err
	}
	p, none := procedure.Find(name, scripts.Files)
	if none != nil || !returnsProcedure.Match(p.Source) {
		return err
	}
	return &flagError{fmt.Errorf("%s is a procedure, not a trial", name), "run it with: candelua run " + plain.Word(name)}
}
