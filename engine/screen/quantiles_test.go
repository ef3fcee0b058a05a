//go:build linux

package screen

import (
	"fmt"
	"slices"
	"time"
)

// quantiles are the median and the 99th percentile of some times.
func quantiles(all []time.Duration) string {
	s := slices.Clone(all)
	slices.Sort(s)
	return fmt.Sprintf("median %v, 99th percentile %v, longest %v", s[len(s)/2].Round(100*time.Microsecond), s[len(s)*99/100].Round(100*time.Microsecond), s[len(s)-1].Round(100*time.Microsecond))
}
