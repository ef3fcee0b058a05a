package builtins

import (
	"context"

	"candelua/engine/bench"
	"candelua/engine/result"
	"candelua/engine/script"
)

// Who says that the unit shows HDR, as the journal keeps it.
const (
	hdrReported    = "reported"    // the source
	hdrConfirmed   = "confirmed"   // a person
	hdrAssumed     = "assumed"     // nobody looked, as --yes allows
	hdrUnconfirmed = "unconfirmed" // nobody is there to look
)

// hdrPaths are those over which an HDR picture may come to a unit that does not switch to HDR for it.
var hdrPaths = map[bench.Path]bool{bench.PathPageHDR: true, bench.PathPlayer: true}

// hdrOf has a person look once whether the unit switched to HDR, where nobody knows: many units take a still image or a file
// of HDR for SDR. Who says no pauses the run.
func hdrOf(ctx context.Context, c *script.Call, p bench.Patch, s bench.Shown) (string, error) {
	if p.Signal == bench.SDR {
		return "", nil
	}
	if s.HDR {
		return hdrReported, nil
	}
	if !hdrPaths[s.Path] {
		return "", nil
	}
	if known := sceneOf(c).confirmed[s.Path]; known != "" {
		return known, nil
	}
	person := c.Bench().Operator
	if person == nil {
		return hdrUnconfirmed, nil
	}
	when := "Now that"
	if s.Pending {
		when = "Once"
	}
	reply, err := person.Ask(ctx, bench.Question{Kind: bench.Confirm, Text: when + " the patch is on the screen, look whether the unit has switched to HDR: it says so on its screen, " +
		"or in the information on its picture or its input. If it has not, type pause, and set it so before you resume."})
	if err != nil {
		return "", err
	}
	if reply.Assumed {
		return hdrAssumed, nil
	}
	return hdrConfirmed, nil
}

// confirm keeps what a person said of a path.
func (s *scene) confirm(w shownAnswer) {
	if w.HDR != hdrConfirmed && w.HDR != hdrAssumed {
		return
	}
	if s.confirmed == nil {
		s.confirmed = map[bench.Path]string{}
	}
	s.confirmed[w.Path] = w.HDR
}

const (
	whyHDRUnknown = "Nobody confirmed that the unit switched to HDR. If it did not, it showed HDR pictures as SDR, and the values are of that."
	whyPathsMixed = "Patches of this run reached the unit over different signal paths. A unit may treat the same code differently on each: before you compare values, " +
		"see in readings.csv over which path each was read: "
)

// tellHDR notes, once, that nobody confirmed HDR.
func (s *scene) tellHDR(c *script.Call, p bench.Patch, w shownAnswer) error {
	if w.HDR != hdrUnconfirmed && w.HDR != hdrAssumed || s.told[whyHDRUnknown] {
		return nil
	}
	s.told[whyHDRUnknown] = true
	return c.Results().Note(result.Note{Text: whyHDRUnknown, Level: doubtLevel(c), Where: c.Where()})
}

// tellPaths notes, once, that readings were taken over another signal path than those before.
func (s *scene) tellPaths(c *script.Call) error {
	if s.path == "" || s.off || s.read == s.path {
		return nil
	}
	before := s.read
	s.read = s.path
	if before == "" || s.told[whyPathsMixed] {
		return nil
	}
	s.told[whyPathsMixed] = true
	return c.Results().Note(result.Note{Text: whyPathsMixed + string(before) + "; " + string(s.path) + ".", Where: c.Where()})
}
