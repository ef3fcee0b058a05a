package bench

import "slices"

// PictureMode is the role by which a procedure asks for a mode.
const PictureMode = "picture mode"

// Picture is the mode that a unit is in, and all that it has. Where the unit cannot be asked, Is is empty.
type Picture struct {
	Is  string
	All []string
}

// modes are what is known of the unit's modes: by the unit itself or by its file.
func (b *Bench) modes() (p Picture, fixed bool) {
	if m, knows := As[Modal](b.Unit); knows {
		if p := m.Picture(); len(p.All) > 0 {
			return p, true
		}
	}
	if b.file != nil && b.file.described != nil {
		return Picture{All: b.file.described.modes}, false
	}
	return Picture{}, false
}

// checkMode refuses a picture mode that the unit has not, or that it cannot be brought into. Such a mode would be recorded
// beside readings of another one.
func (b *Bench) checkMode(value any) error {
	p, fixed := b.modes()
	word, isWord := value.(string)
	switch {
	case !isWord || len(p.All) == 0:
		return nil
	case !slices.Contains(p.All, word):
		return Errorf(CodeUnknownMode, didYouMean(word, p.All), "%s is %q; it must be %s", PictureMode, word, oneOf(p.All))
	case fixed && p.Is == "":
		return Errorf(CodeUnknownMode, "make a run for each mode, this one with "+modeFlag(word), "%s is %q, and the simulated unit is in no mode; its mode is chosen before the run", PictureMode, word)
	case fixed && p.Is != word:
		return Errorf(CodeUnknownMode, "make a run for each mode, this one with "+modeFlag(word), "%s is %q, and the simulated unit is in mode %q; its mode is chosen before the run", PictureMode, word, p.Is)
	}
	return nil
}

// AgreesWithMode refuses a contract that sets another picture mode than the one that the run is in: the run would be
// recorded as one of a mode that was not measured. An empty mode is none.
func (b *Bench) AgreesWithMode(mode string, settings map[string]any) error {
	word, isWord := settings[PictureMode].(string)
	if !isWord || mode == "" || word == mode {
		return nil
	}
	made, err := b.Settings([]Setting{{PictureMode, word}})
	if err != nil {
		return err
	}
	for _, m := range made {
		if m.Value == mode {
			return nil // the unit's own word for it
		}
	}
	return Errorf(CodeUnknownMode, "give "+modeFlag(word)+", or change settings in the procedure",
		"the procedure sets %s to %q, and the run is in mode %q; the two must be the same", PictureMode, word, mode)
}

func modeFlag(mode string) string {
	if !isBareKey(mode) {
		mode = `"` + mode + `"`
	}
	return "--mode " + mode
}

// oneOf says which words are allowed, for a message.
func oneOf(words []string) string {
	if len(words) == 1 {
		return words[0]
	}
	return "one of " + list(words)
}
