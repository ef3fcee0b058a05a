package screen

import "fmt"

// facts say what the page says of the unit, with the lines that a unit file can have of it.
func (t *talk) facts() string {
	s := t.state
	range_ := "no high dynamic range"
	if t.about.High {
		range_ = "a high dynamic range"
	}
	gamut := map[string]string{"srgb": "about sRGB", "p3": "about P3", "rec2020": "about Rec. 2020"}[t.about.Gamut]
	if gamut == "" {
		gamut = "not stated"
	}
	awake := map[string]string{
		"wake lock": "the browser keeps the screen on",
		"video":     "a film of nothing keeps the screen on, where the system lets it",
	}[s.Awake]
	if awake == "" {
		awake = "nothing keeps the screen on: set its time-out to the longest"
	}
	return fmt.Sprintf("The page is open: %d x %d pixels, ratio %.4g. Its browser states a gamut of %s, %s and %d bits a colour. Of the screen: %s.\nFor the unit file: screen = { width = %d, height = %d }",
		s.Box[0], s.Box[1], s.Ratio, gamut, range_, t.about.Bits, awake, s.Box[0], s.Box[1])
}
