package report

import (
	"io"
	"strings"

	"candelua/engine/result"
)

// simulatedWords say on a drawing that nothing real was measured.
const simulatedWords = "Simulated: no real display was measured."

// SimulatedHead is the head of the column that says the same in every row of a CSV.
const SimulatedHead = "simulated"

// SimulatedCell is what that column has in each row.
func SimulatedCell() result.Cell { return result.Text("true") }

// Simulated makes a drawing say that the run was simulated: at the top right, and in its
// title. Files of a run go on without the run.
func Simulated(draw func(io.Writer) error) func(io.Writer) error {
	return func(w io.Writer) error {
		var b strings.Builder
		if err := draw(&b); err != nil {
			return err
		}
		const titleEnd, end = "</title>\n", "</svg>\n"
		text := strings.Replace(b.String(), titleEnd, " (simulated)"+titleEnd, 1)
		text = strings.TrimSuffix(text, end) + `<text x="98%" y="16" text-anchor="end" font-size="12">` + simulatedWords + "</text>\n" + end
		_, err := io.WriteString(w, text)
		return err
	}
}
