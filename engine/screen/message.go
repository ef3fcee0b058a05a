package screen

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"candelua/engine/paint"
)

// state is what a page says of itself, with each message.
type state struct {
	Box      [2]int     `json:"box"`    // of the canvas, in pixels of the screen
	CSS      [2]float64 `json:"css"`    // of the page, in its own units
	Outer    [2]float64 `json:"outer"`  // of the browser's window, likewise
	Screen   [2]float64 `json:"screen"` // likewise
	Angle    int        `json:"angle"`  // by which the picture is turned clockwise on the unit, degrees; -1: not known
	Ratio    float64    `json:"ratio"`  // pixels of the screen in one such unit
	Scale    float64    `json:"scale"`  // of a pinch
	Visible  bool       `json:"visible"`
	Full     bool       `json:"full"`
	Focus    bool       `json:"focus"`
	Dark     bool       `json:"dark"`     // the browser darkens pages
	Forced   bool       `json:"forced"`   // the system forces its colours on pages
	Inverted bool       `json:"inverted"` // the system inverts colours
	Begun    bool       `json:"begun"`    // the person began, and the browser's own message is gone
	Awake    string     `json:"awake"`    // how the screen is kept on
	Lapses   int        `json:"lapses"`   // how often something happened that may have changed the picture
	Lapse    string     `json:"lapse"`    // the last of them
	Painted  int        `json:"painted"`  // number of the picture that stands
}

// about is what the browser says of the unit.
type about struct {
	Browser string `json:"browser"`
	Gamut   string `json:"gamut"`  // the widest of srgb, p3, rec2020 that it states
	High    bool   `json:"high"`   // it states a high dynamic range
	Bits    int    `json:"bits"`   // of a colour, as it states them
	Secure  bool   `json:"secure"` // it takes the page for a secure context
	Timing  bool   `json:"timing"` // it tells when a frame was shown
	// P3 says what becomes of a still image of P3: kept, converted, narrow or wide (it takes the screen for
	// one of less or of more than P3), software (it paints without graphics hardware), unknown.
	P3 string `json:"p3"`
}

// heard is a message of a page: one of hello, state, echo, painted.
type heard struct {
	Kind   string  `json:"kind"`
	Page   string  `json:"page"` // hello: the page as it is called across reloads
	ID     int     `json:"id"`   // echo
	Number int     `json:"number"`
	At     float64 `json:"at"`  // painted: when, in ms of the page's clock
	How    string  `json:"how"` // painted: how that is known
	Now    float64 `json:"now"` // ms of the page's clock
	State  *state  `json:"state"`
	About  *about  `json:"about"`
}

// readMessage refuses what no page of ours sends.
func readMessage(text []byte) (m heard, err error) {
	if err := json.Unmarshal(text, &m); err != nil {
		return m, fmt.Errorf("the page sent what cannot be understood: %w", err)
	}
	numbers := []float64{m.At, m.Now}
	if s := m.State; s != nil {
		numbers = append(numbers, s.CSS[0], s.CSS[1], s.Outer[0], s.Outer[1], s.Screen[0], s.Screen[1], s.Ratio, s.Scale)
		if s.Box[0] < 0 || s.Box[1] < 0 || s.Box[0] > mostPixels || s.Box[1] > mostPixels {
			return m, fmt.Errorf("the page says that it has %d x %d pixels", s.Box[0], s.Box[1])
		}
	}
	for _, n := range numbers {
		if math.IsNaN(n) || math.Abs(n) > 1e15 {
			return m, fmt.Errorf("the page sent the number %v", n)
		}
	}
	return m, nil
}

// mostPixels is the longest side of a screen that is believed.
const mostPixels = 32768

// said is a message to a page.
type said struct {
	Kind     string    `json:"kind"`
	ID       int       `json:"id,omitempty"`
	Number   int       `json:"number,omitempty"`
	Text     string    `json:"text,omitempty"`
	Rects    [][7]int  `json:"rects,omitempty"`
	Still    string    `json:"still,omitempty"` // path of an image that covers the screen
	Pictures []picture `json:"pictures,omitempty"`
}

// picture is one of a sequence.
type picture struct {
	Rects [][7]int `json:"rects,omitempty"`
	Still string   `json:"still,omitempty"`
	Hold  float64  `json:"hold"` // ms
}

// rectsOf writes rectangles as the page takes them: left, top, width, height, red, green, blue.
func rectsOf(p paint.Picture) (all [][7]int) {
	for _, r := range p.Rects {
		all = append(all, [7]int{r.X, r.Y, r.W, r.H, r.Code[0], r.Code[1], r.Code[2]})
	}
	return all
}

// trouble says why a picture on the page could be another one than is asked for, and what to do; empty where it could
// not. A page that has not begun is none.
func (s *state) trouble() string {
	switch {
	case !s.Visible:
		return "The page is hidden. Bring it to the front."
	case s.Forced:
		return "The system forces its own colours on pages. Turn off its high contrast mode."
	case s.Inverted:
		return "The system inverts colours. Turn that off."
	case s.Dark:
		return "The browser darkens pages by itself. Turn off its dark mode for web pages."
	case math.Abs(s.Scale-1) > 1e-3:
		return fmt.Sprintf("The page is enlarged %.3g times. Pinch it back to its own size, or load it again.", s.Scale)
	case s.Box[0] < 1 || s.Box[1] < 1:
		return "The page has no size."
	case s.boxed():
		return ""
	case s.zoom() != 1:
		return fmt.Sprintf("The page is zoomed to %.0f %%. Set the zoom to 100 %%.", 100*s.zoom())
	}
	return fmt.Sprintf("The page has %d x %d pixels, and the screen has about %.0f x %.0f. Put the page in full screen.",
		s.Box[0], s.Box[1], s.Screen[0]*s.Ratio, s.Screen[1]*s.Ratio)
}

// boxed says whether the box is the screen, to one of the page's own units: sizes in these are rounded.
func (s *state) boxed() bool {
	within := s.Ratio + 1
	is := func(w, h float64) bool {
		return math.Abs(float64(s.Box[0])-w*s.Ratio) <= within && math.Abs(float64(s.Box[1])-h*s.Ratio) <= within
	}
	// Some browsers state the screen as it is held, others always upright.
	return is(s.Screen[0], s.Screen[1]) || is(s.Screen[1], s.Screen[0])
}

// zoom is by how much the person enlarged the page, 1 where nobody did or the browser does not tell: the page's own
// units grow, and those of the window around it do not.
func (s *state) zoom() float64 {
	if s.CSS[0] < 1 || s.Outer[0] < 1 {
		return 1
	}
	z := s.Outer[0] / s.CSS[0]
	if across := s.Outer[1] / math.Max(s.CSS[1], 1); math.Abs(z-1) < 0.02 || math.Abs(across/z-1) > 0.1 {
		return 1
	}
	return z
}

// words say a lapse in words, from the page's own.
func (s *state) words() string {
	if t := s.trouble(); t != "" {
		return lower(t)
	}
	if w, ok := lapses[s.Lapse]; ok {
		return w
	}
	return "something changed on the page"
}

// lapses are the page's words for what happened.
var lapses = map[string]string{
	"hidden":      "the page was hidden",
	"shown again": "the page was hidden",
	"full screen": "the page left full screen",
	"frozen":      "the browser froze the page",
	"thawed":      "the browser froze the page",
	"left":        "the page was left",
	"came back":   "the page was left",
	"rotated":     "the screen was turned",
	"resized":     "the page got another size",
	"changed":     "the zoom, the pixel ratio or the colours of the page changed",
	"stood still": "the page stood still for some time",
	"lost":        "the page heard nothing and made itself black",
	"paused":      "the page was made black",
	"over":        "the page was made black",
}

// lower makes the middle of a sentence of a sentence.
func lower(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + strings.TrimSuffix(s[1:], ".")
}
