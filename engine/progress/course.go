package progress

import (
	"candelua/engine/play"
	"candelua/engine/result"
)

// Course is how a run is expected to go.
type Course struct {
	Steps []Step
	Parts []Part
	// Plots are those that the run will record, often at its end, of tables that it fills before.
	Plots []*result.Plot
}

// Step is one step of a course.
type Step struct {
	Name    string
	Device  string  // that is asked; empty for none
	Seconds float64 // script time until its answer, at least 0
}

// Part is a named part of a course.
type Part struct {
	Name string
	From int // its first step, counted from 0
}

// Recorder makes a course of the events of a rehearsal. The zero Recorder is ready.
type Recorder struct {
	course Course
	device string
	now    float64
}

// Tell takes an event.
func (r *Recorder) Tell(e play.Event) {
	switch e := e.(type) {
	case play.Began: // again, too: what was set aside is no part of the course
		*r = Recorder{}
	case play.Progress:
		r.device = e.Device
	case play.Answered:
		r.course.Steps = append(r.course.Steps, Step{Name: e.Name, Device: r.device, Seconds: max(0, e.Now-r.now)})
		r.now = e.Now
	case play.Ended:
		r.course.Plots = e.Results.Plots()
	case play.Part:
		if e.Begins {
			r.course.Parts = append(r.course.Parts, Part{e.Name, len(r.course.Steps)})
		}
	}
}

// Course is what was recorded.
func (r *Recorder) Course() *Course { return &r.course }
