//go:build !linux

package bench

import "time"

// asleep is not known here.
func asleep() (time.Duration, bool) { return 0, false }
