package play

import (
	"math"
	"time"
)

// seconds is a time as scripts and the journal have it.
func seconds(t time.Duration) float64 { return float64(t) / 1e9 }

// duration is exact for what seconds gave.
func duration(s float64) time.Duration { return time.Duration(math.Round(s * 1e9)) }
