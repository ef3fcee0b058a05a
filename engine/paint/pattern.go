package paint

import (
	"math"

	"candelua/engine/bench"
)

// edge is where part i of n equal ones begins, in whole pixels: parts differ by a pixel at the most.
func edge(i, n, pixels int) int { return (2*i*pixels + n) / (2 * n) }

// fits refuses more parts than there are pixels.
func fits(n, pixels int, what string) error {
	if n > pixels {
		return refuse("ask for fewer", "the pattern has %d %s, and the screen has %d pixels there", n, what, pixels)
	}
	return nil
}

// checkerboard paints the fields of the patch's own colour on its background.
func (pic *Picture) checkerboard(p bench.Patch, c coder) error {
	columns, rows := p.Pattern.Columns, p.Pattern.Rows
	if err := fits(columns, pic.Size.Width, "columns"); err != nil {
		return err
	}
	if err := fits(rows, pic.Size.Height, "rows"); err != nil {
		return err
	}
	own, code, area := parity(p.Pattern.Field(p.At)), c.code(p.RGB), 0
	for row := range rows {
		for column := range columns {
			if parity(column, row) != own {
				continue
			}
			x, y := edge(column, columns, pic.Size.Width), edge(row, rows, pic.Size.Height)
			r := Rect{x, y, edge(column+1, columns, pic.Size.Width) - x, edge(row+1, rows, pic.Size.Height) - y, code}
			pic.Rects = append(pic.Rects, r)
			area += r.W * r.H
		}
	}
	pic.Area, pic.At = pic.share(area), p.Middle()
	return nil
}

func parity(column, row int) int { return (column + row) % 2 }

func (pic *Picture) share(pixels int) float64 {
	return 100 * float64(pixels) / (float64(pic.Size.Width) * float64(pic.Size.Height))
}

// bar is a stripe over the whole screen from one pixel to another, along the pattern's direction.
func (pic *Picture) bar(p bench.Patch, from, to int, code [3]int) Rect {
	if p.Pattern.Vertical {
		return Rect{0, from, pic.Size.Width, to - from, code}
	}
	return Rect{from, 0, to - from, pic.Size.Height, code}
}

// along is how many pixels the screen has along the pattern's direction.
func (pic *Picture) along(p bench.Patch) int {
	if p.Pattern.Vertical {
		return pic.Size.Height
	}
	return pic.Size.Width
}

// ramp gives each line of pixels its own signal, the first that of From and the last the patch's,
// and paints lines of the same code as one bar.
func (pic *Picture) ramp(p bench.Patch, c coder) {
	all := pic.along(p)
	from, code := 0, c.code(p.Level(0, all))
	for i := 1; i <= all; i++ {
		var next [3]int
		if i < all {
			if next = c.code(p.Level(i, all)); next == code {
				continue
			}
		}
		pic.Rects = append(pic.Rects, pic.bar(p, from, i, code))
		from, code = i, next
	}
}

// steps paints equal bars.
func (pic *Picture) steps(p bench.Patch, c coder) error {
	n, all := p.Pattern.Count, pic.along(p)
	if err := fits(n, all, "bars"); err != nil {
		return err
	}
	for i := range n {
		pic.Rects = append(pic.Rects, pic.bar(p, edge(i, n, all), edge(i+1, n, all), c.code(p.Level(i, n))))
	}
	return nil
}

// ladder paints fields in the middles of the cells of a grid, half as wide and as high as these, so that each is
// seen against the background. There are as many columns as make the cells most nearly square.
func (pic *Picture) ladder(p bench.Patch, c coder) error {
	n, area := p.Pattern.Count, 0
	columns := min(max(int(math.Round(math.Sqrt(float64(n)*float64(pic.Size.Width)/float64(pic.Size.Height)))), 1), n)
	rows := (n + columns - 1) / columns
	if err := fits(2*columns, pic.Size.Width, "fields and gaps from left to right"); err != nil {
		return err
	}
	if err := fits(2*rows, pic.Size.Height, "fields and gaps from top to bottom"); err != nil {
		return err
	}
	for i := range n {
		// A cell is four quarters wide; its field begins a quarter in.
		x, w := field(i%columns, columns, pic.Size.Width)
		y, h := field(i/columns, rows, pic.Size.Height)
		pic.Rects = append(pic.Rects, Rect{x, y, w, h, c.code(p.Level(i, n))})
		area += w * h
	}
	pic.Area = pic.share(area)
	return nil
}

// field is where the field of cell i of n begins, and its length: the middle half of the cell.
func field(i, n, pixels int) (from, length int) {
	from = edge(4*i+1, 4*n, pixels)
	return from, max(edge(4*i+3, 4*n, pixels)-from, 1)
}
