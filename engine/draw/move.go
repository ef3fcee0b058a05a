package draw

// Move is what a probe does to a number that a step gave: an execution that shows what is computed from it.
type Move struct {
	Share float64  // by how much of itself it is moved
	To    *float64 // the number that it is instead, in place of a share
}
