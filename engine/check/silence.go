package check

import (
	"slices"
	"strings"

	"candelua/engine/spell"
	"candelua/engine/syntax"
)

// asMeant begins a comment that silences findings of one name.
const asMeant = "as meant"

// silence is one such comment.
type silence struct {
	at     syntax.Pos
	lines  [2]int // the first and last line that it is for
	name   string
	reason string
	used   bool
}

// silencesOf reads the comments.
func silencesOf(comments []syntax.Comment) (all []*silence) {
	for _, k := range comments {
		rest, is := strings.CutPrefix(strings.TrimSpace(k.Text), asMeant)
		if !is || rest != "" && !strings.ContainsAny(rest[:1], ",: ") {
			continue
		}
		name, reason, _ := strings.Cut(strings.TrimLeft(rest, ",: "), ":")
		s := &silence{at: k.At, lines: [2]int{k.At.Line, k.At.Line}, name: strings.TrimSpace(name), reason: strings.TrimSpace(reason)}
		if k.Alone {
			s.lines[1]++
		}
		all = append(all, s)
	}
	return all
}

// silenced leaves out what a comment silences, and finds comments that silence nothing or give no reason.
func (c *checker) silenced(found []Finding, silences []*silence) (left []Finding) {
	for _, f := range found {
		quiet := false
		for _, s := range silences {
			if s.silences(f) {
				s.used, quiet = true, true
			}
		}
		if !quiet {
			left = append(left, f)
		}
	}
	c.found, c.final, c.quiet = left, true, false
	for _, s := range silences {
		const form = "write -- as meant, NAME: REASON"
		switch {
		case About[s.name] == "":
			tip := form + "; candelua check --names lists the names"
			if n := spell.Nearest(s.name, Names()); n != "" {
				tip = "did you mean " + n + "?"
			}
			c.add(Warning, silencedNothing, s.at, tip, "there is no finding called %q", short(s.name))
		case s.reason == "":
			c.add(Warning, silencedWithout, s.at, form, "%s is silenced without a reason, so it is not silenced", s.name)
		case !s.used && !slices.Contains(whenRun, s.name):
			c.add(Hint, silencedNothing, s.at, "remove the comment", "there is no finding %s here to silence", s.name)
		}
	}
	return slices.Clone(c.found)
}

// Silenced leaves out what the comments of a source silence.
func Silenced(found []Finding, src []byte) (left []Finding) {
	tree, err := syntax.Parse(src)
	if err != nil {
		return found
	}
	silences := silencesOf(tree.Comments)
	for _, f := range found {
		if !slices.ContainsFunc(silences, func(s *silence) bool { return s.silences(f) }) {
			left = append(left, f)
		}
	}
	return left
}

func (s *silence) silences(f Finding) bool {
	return s.name == f.Name && s.reason != "" && s.lines[0] <= f.Line && f.Line <= s.lines[1]
}
