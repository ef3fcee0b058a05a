package progress

import (
	"fmt"
	"math"
	"strconv"
)

// chromaticity writes x or y with as many decimals as a good meter tells apart.
func chromaticity(v float64) string { return strconv.FormatFloat(v, 'f', 4, 64) }

// leftText is a time left in words, as exact as it is known: "about 40 s", "about 12 min", "about 2 h 10 min".
func leftText(seconds float64) string {
	if seconds <= 55 {
		return fmt.Sprintf("about %.0f s", max(5, 5*math.Ceil(seconds/5)))
	}
	minutes := max(1, int(math.Round(seconds/60)))
	switch {
	case minutes < 60:
		return fmt.Sprintf("about %d min", minutes)
	case minutes < 600:
		minutes = (minutes + 2) / 5 * 5
		if minutes%60 == 0 {
			return fmt.Sprintf("about %d h", minutes/60)
		}
		return fmt.Sprintf("about %d h %d min", minutes/60, minutes%60)
	}
	return fmt.Sprintf("about %d h", (minutes+30)/60)
}
