package bench

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// Subject is what a run measures, and when, for a correction that is to be used on it.
type Subject struct {
	Unit  string // the unit's name; that of [DefaultUnit] says nothing
	Panel string // the kind of its panel; empty where not stated
	Day   string // on which the run began, year-month-day; empty where nobody says
}

// Misfits says in words why a correction may not hold for what a meter at a place of the bench reads: it was made for another meter, on
// another unit, on another kind of panel, or longer before or after the run than it is valid for. It tells nothing of what is not
// stated, nor of the meter where a person reads it.
func (c *Correction) Misfits(place string, meter Identity, of Subject) (why []string) {
	made := fmt.Sprintf("the correction %q was made ", c.Name)
	if !meter.ByHand && !c.Meter.Is(meter) {
		why = append(why, made+fmt.Sprintf("for the meter %s, and the %s is %s: its readings may be further off with it than without",
			c.Meter, place, meter.Called()))
	}
	if c.Unit != "" && of.Unit != DefaultUnit().Name && c.Unit != of.Unit {
		why = append(why, made+fmt.Sprintf("on %s, and the unit is %s: it holds only where both have the same primaries", c.Unit, of.Unit))
	}
	if c.Panel != "" && of.Panel != "" && !strings.EqualFold(c.Panel, of.Panel) {
		why = append(why, made+fmt.Sprintf("on a panel of the kind %q, and the unit's is %q: it holds only for the kind that it was made on", c.Panel, of.Panel))
	}
	if days, when := c.age(of.Day); days > 0 {
		why = append(why, made+fmt.Sprintf("%d days %s this run, and is valid for %d: filters and panels age, so make it again", days, when, c.ValidFor))
	}
	return why
}

// age is how many days before or after a day the correction was made, where that is more than it is valid for; else 0.
func (c *Correction) age(day string) (days int, when string) {
	run, err := time.Parse(time.DateOnly, day)
	made, err2 := time.Parse(time.DateOnly, c.Date)
	if err != nil || err2 != nil || c.ValidFor == 0 {
		return 0, ""
	}
	days, when = int(math.Round(run.Sub(made).Hours()/24)), "before"
	if days < 0 {
		days, when = -days, "after"
	}
	if days <= c.ValidFor {
		return 0, ""
	}
	return days, when
}
