// Package watch serves the operator's view of a run: a page for the person at the bench, on a tablet for example. It shows what the
// unit shows, the step that is being done, the results so far as tables and drawings, how much is done and how long it
// still takes, the question that is open, and the last warnings. It can pause the run. Answers are given at the terminal.
//
// [Serve] opens an address; [Server.URL] is what a person opens. Who is let in is for package page to say: the address has a
// secret part, new with each start. Whoever has it can see the run, and pause it; nothing else.
//
// # A client and no engine
//
// The page shows what [progress.Follower] knows. Nothing here is called by the run, and the run waits for nothing here: views are
// looked up while a page is connected, the results are copied while the script waits for the bench, and each page gets the latest of
// both when it is ready to take it. A page that is slow misses what lies between, and slows neither the run nor other pages. One that
// takes nothing for five seconds is disconnected.
//
// # What is sent
//
// Messages are JSON texts over one WebSocket:
//
//	{"view": …}      how the run stands (progress.View), when that changes, and every two seconds as a sign of life
//	{"screen": …}    what the unit shows, as rectangles, when that changes
//	{"sheet": …}     values, tables and drawings so far, when they change, and at most once a second
//	{"bye": true}    the command ends, and its last view was sent
//
// The page sends one message, {"do":"pause"}. It means what Ctrl-C means once: the reading is finished, then the run pauses, and can be
// gone on with. Anything else disconnects it. Drawings are at picture/LOOK/ID, in the looks dark and light. They are those that package report
// makes of the run's files, of what there is so far.
//
// A sheet has the last rows and values only; making it takes at most a twentieth of the time of a processor, so that large results are
// shown less often.
//
// # The page
//
// It is black and dim red unless it is told otherwise, since its light falls on the bench. It is one file without anything from elsewhere, is worked by keys as
// well, and tells a screen reader what changes: questions, warnings, parts and the end at once, and not every reading. Texts of scripts, devices and people
// are never markup. It connects again by itself, and says when nothing was heard of the engine.
package watch
