package bench

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"candelua/engine/spell"
)

// Role is what a control is for, whatever the unit's menu calls it. A procedure asks for
// it by its name. A unit file, or a simulated unit, says which control it is there.
type Role struct {
	Name   string
	Values []string // nil: a number, minimum or maximum, or, of words, any
	Number bool
}

// Roles are those that there are.
var Roles = []Role{
	{Name: "automatic brightness", Values: []string{"on", "off"}},
	{Name: "brightness", Number: true},
	{Name: PictureMode},
	{Name: "enhancements", Values: []string{"on", "off"}},
}

// IsRole says whether a setting is asked for by its role. A name in other letters is one
// of a menu.
func IsRole(name string) bool { return slices.Contains(roleNames(), name) }

func roleNames() []string {
	names := make([]string, len(Roles))
	for i, r := range Roles {
		names[i] = r.Name
	}
	return names
}

// role reads what a control is for.
func (t *table) role(c *Control) {
	t.text("role", &c.Role)
	if c.Role != "" && !IsRole(c.Role) {
		t.wrong("role", didYouMean(c.Role, roleNames()), "one of "+list(roleNames()))
	}
}

// ownWords reads a control's words for those of its role.
func (t *table) ownWords(c *Control) {
	words := t.table("words")
	if words == nil {
		return
	}
	c.Words = map[string]string{}
	if r, is := c.roleIn(Roles); is && r.Values != nil {
		words.only("words of "+r.Name, r.Values)
	}
	for _, word := range slices.Sorted(maps.Keys(words.values)) {
		var own string
		words.text(word, &own)
		if !slices.Contains(c.Values, own) {
			words.wrong(word, didYouMean(own, c.Values), "one of "+list(c.Values))
		}
		c.Words[word] = own
	}
}

// roleIn is the role that the control has: the one that is stated, or the one that it is called by.
func (c *Control) roleIn(roles []Role) (Role, bool) {
	i := slices.IndexFunc(roles, func(r Role) bool {
		return c.Role == r.Name || c.Role == "" && strings.EqualFold(c.Name, r.Name)
	})
	if i < 0 {
		return Role{}, false
	}
	return roles[i], true
}

// check refuses a value that the role does not take.
func (r Role) check(value any) error {
	word, isWord := value.(string)
	if on, is := value.(bool); is && r.Values != nil {
		word, isWord = onOff(on), true
	}
	_, isNumber := value.(float64)
	ok, want := isWord && strings.TrimSpace(word) != "", "a word of the unit's menu"
	switch {
	case r.Number:
		ok, want = isNumber || slices.Contains([]string{"minimum", "maximum"}, word), `a number, "minimum" or "maximum"`
	case r.Values != nil:
		ok, want = slices.Contains(r.Values, word), "one of "+list(r.Values)
	}
	if ok {
		return nil
	}
	near := r.Values
	if r.Number {
		near = []string{"minimum", "maximum"}
	}
	hint := ""
	if s := spell.Nearest(word, near); s != "" {
		hint = didYouMean(word, near)
	}
	return Errorf(CodeBadSetting, hint, "%s is %s; it must be %s", r.Name, shown(value), want)
}

func onOff(on bool) string { return map[bool]string{true: "on", false: "off"}[on] }

// own is the control's own word for a value of its role.
func (c Control) own(value any) any {
	word, isWord := value.(string)
	if on, is := value.(bool); is {
		word, isWord = onOff(on), true
	}
	if own, stated := c.Words[word]; isWord && stated {
		return own
	}
	return value
}

// fill returns the controls that have a role: those of which it is stated or, where it is
// stated of none, one that is called so.
func (u *UnitFile) fill(role string) (all []Control) {
	called := func(c Control) bool {
		return c.Role == "" && slices.ContainsFunc(append([]string{c.Name}, c.Former...), func(n string) bool { return strings.EqualFold(n, role) })
	}
	for _, is := range []func(Control) bool{func(c Control) bool { return c.Role == role }, called} {
		for _, c := range u.controls {
			if is(c) {
				all = append(all, c)
			}
		}
		if all != nil {
			return all
		}
	}
	return nil
}

// NoControl is the value of a role for which the unit has no control.
const NoControl = "no such control"

// Settings are the settings that are made where these are asked for: each role by the
// unit's own control. A role of which nobody knows the control stays in words, for a
// person or a driver. Of a unit that knows its controls and has none for it, the value is
// [NoControl]: there is nothing to set.
//
// It fails with an [Error] of code "bad-setting" for a value that a role or its control
// does not take.
func (b *Bench) Settings(asked []Setting) (all []Made, err error) {
	for _, s := range asked {
		i := slices.IndexFunc(Roles, func(r Role) bool { return r.Name == s.Name })
		if i < 0 {
			if err := b.slippedRole(s.Name); err != nil {
				return nil, err
			}
			all = append(all, Made{s.Name, s})
			continue
		}
		if err := Roles[i].check(s.Value); err != nil {
			return nil, err
		}
		made, err := b.byRole(Roles[i], s)
		if err != nil {
			return nil, err
		}
		all = append(all, made...)
	}
	return all, nil
}

// slippedRole refuses a name that is one slip away from a role's, where nobody knows what the unit's menu has: a person
// would be asked for a control that there is not. Other names are taken for those of a menu.
func (b *Bench) slippedRole(name string) error {
	for _, u := range b.menus() {
		if len(u.controls) > 0 {
			return nil // which names what it has
		}
	}
	if role := spell.Slip(name, roleNames()); role != "" {
		return Errorf(CodeBadSetting, fmt.Sprintf("did you mean %q?", role), "%q is no role; it must be one of %s, or a name in the unit's menu", name, list(roleNames()))
	}
	return nil
}

func (b *Bench) byRole(r Role, s Setting) (all []Made, err error) {
	menus := b.menus()
	for _, u := range menus {
		for _, c := range u.fill(s.Name) {
			own := Setting{c.Name, c.own(s.Value)}
			if err := u.Check(own); err != nil {
				return nil, Errorf(CodeBadSetting, hintForWords(c, r, s.Value), "%s: %w", s.Name, err)
			}
			all = append(all, Made{s.Name, own})
		}
		if all != nil {
			return all, nil
		}
	}
	if s.Name == PictureMode {
		if err := b.checkMode(s.Value); err != nil {
			return nil, err
		}
	}
	if _, knows := As[Menu](b.Unit); knows {
		return []Made{{s.Name, b.uncontrolled(s)}}, nil
	}
	return []Made{{s.Name, s}}, nil
}

// uncontrolled is what is so where a unit that knows its controls has none for a role: nothing, or the mode that it is in.
func (b *Bench) uncontrolled(s Setting) Setting {
	if p, fixed := b.modes(); s.Name == PictureMode && fixed && p.Is == s.Value {
		return s
	}
	return Setting{s.Name, NoControl}
}

// hintForWords says what to do where a control does not take its role's word. Which of its own words it is, nobody
// can guess: the wrong one would set the opposite.
func hintForWords(c Control, r Role, value any) string {
	word := fmt.Sprint(value)
	if on, is := value.(bool); is {
		word = onOff(on)
	}
	if len(c.Values) == 0 {
		return ""
	}
	if hint := didYouMean(word, c.Values); hint != "" && r.Values == nil {
		return hint
	}
	own := "…"
	if i := slices.IndexFunc(c.Values, func(v string) bool { return strings.EqualFold(v, word) }); i >= 0 {
		own = c.Values[i]
	}
	if !isBareKey(word) {
		word = strconv.Quote(word)
	}
	return fmt.Sprintf("say in the unit file which of these it is: words = { %s = %q } of the control %s", word, own, c.Name)
}

// isBareKey says whether TOML takes a key without quotes.
func isBareKey(s string) bool {
	return s != "" && !strings.ContainsFunc(s, func(r rune) bool {
		return !('a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' || '0' <= r && r <= '9' || r == '-' || r == '_')
	})
}

// Own are the settings to ask the unit for, of those that are made.
func Own(made []Made) (all []Setting) {
	for _, m := range made {
		if m.Value != NoControl {
			all = append(all, m.Setting)
		}
	}
	return all
}

// OwnRequest is a request in the unit's own controls.
func (b *Bench) OwnRequest(request any) any {
	asked, is := request.([]Setting)
	if !is {
		return request
	}
	made, err := b.Settings(asked)
	if err != nil {
		return request // which the unit itself refuses
	}
	return Own(made)
}

// CheckSetting refuses a setting that is known to be wrong before anything is asked: by
// the unit file, or by a unit that knows its own controls.
func (b *Bench) CheckSetting(s Setting) error {
	made, err := b.Settings([]Setting{s})
	if err != nil {
		return err
	}
	for _, own := range Own(made) {
		for _, u := range b.menus() {
			if IsRole(own.Name) {
				continue
			}
			if err := u.Check(own); err != nil {
				return err
			}
		}
	}
	return nil
}

// menus are what is known of the unit's controls, the unit file first.
func (b *Bench) menus() (all []*UnitFile) {
	if b.file != nil && b.file.described != nil {
		all = append(all, b.file.described)
	}
	if m, knows := As[Menu](b.Unit); knows {
		all = append(all, &UnitFile{Name: b.Unit.About().Name, controls: m.Controls()})
	}
	return all
}
