package plain

import (
	"fmt"
	"strings"
)

// Dots draws a square of dark and light dots for a terminal, from one dot to before another, each way: two dots in each
// character, in black and white that are stated, so that it is the same on dark and on light terminals.
func Dots(from, to int, dark func(x, y int) bool) Own {
	const black, white, reset = 16, 231, "\x1b[0m" // of the 256 colours: corners of the colour cube, which themes leave alone
	var b strings.Builder
	colour := func(x, y int) int {
		if dark(x, y) {
			return black
		}
		return white
	}
	for y := from; y < to; y += 2 {
		was := ""
		for x := from; x < to; x++ {
			if is := fmt.Sprintf("\x1b[38;5;%d;48;5;%dm", colour(x, y), colour(x, y+1)); is != was {
				b.WriteString(is)
				was = is
			}
			b.WriteString("▀") // its upper half is drawn, the lower is the background
		}
		b.WriteString(reset + "\n")
	}
	return Own(b.String())
}
