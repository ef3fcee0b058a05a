package rehearse

import (
	"slices"
	"time"

	"candelua/engine/journal"
)

// Pace is how long the steps of a run took, by name and device.
type Pace struct {
	took  map[string]float64 // median, in seconds
	stage map[string]float64 // the same on the stage; nil before it is known
}

func paceKey(name, device string) string { return name + " " + device }

// PaceOf reads the pace of a run. Steps that a person answered count, too.
func PaceOf(j *journal.Journal) (*Pace, error) {
	took, err := mediansOf(j)
	if err != nil {
		return nil, err
	}
	return &Pace{took: took}, nil
}

func mediansOf(j *journal.Journal) (map[string]float64, error) {
	all := map[string][]float64{}
	for n := 1; n <= j.Steps(); n++ {
		s, err := j.Step(n)
		if err != nil {
			return nil, err
		}
		if s.Failure == nil {
			key := paceKey(s.Name, s.Device)
			all[key] = append(all[key], s.T-s.Asked)
		}
	}
	medians := map[string]float64{}
	for key, list := range all {
		slices.Sort(list)
		medians[key] = list[len(list)/2]
	}
	return medians, nil
}

// Learn takes how long the steps of a rehearsal took on the stage itself, so that a next one waits for the rest.
func (p *Pace) Learn(r *Rehearsal) (err error) {
	p.stage, err = mediansOf(r.Job.History.Journal)
	return err
}

// extra is how much longer a step takes than on the stage.
func (p *Pace) extra(name, device string) time.Duration {
	if p == nil || p.stage == nil {
		return 0
	}
	key := paceKey(name, device)
	took, known := p.took[key]
	if !known {
		return 0
	}
	return time.Duration(max(0, took-p.stage[key]) * float64(time.Second))
}
