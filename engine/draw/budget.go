package draw

// Part is a component's part in the uncertainty of a value.
type Part struct {
	Component Component
	U         float64 // the standard uncertainty that it alone gives
	Share     float64 // of the sum of squares, 0 to 1
}

// Budget is where a value's uncertainty comes from, the largest part first.
type Budget struct {
	Parts []Part
	// Together is the root of the sum of the squares of the parts. It differs from
	// the value's u if components interact, or are so large that the value does not
	// follow them in proportion.
	Together float64
}
