package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"
)

// printSurvey prints the values of all scripts, the worst first, and what all came to.
func printSurvey(out io.Writer, all []surveyed) {
	var values []*tallied
	for i := range all {
		values = append(values, all[i].tally()...)
	}
	worstFirst(values)
	var w *tabwriter.Writer
	flush := func() {
		if w != nil {
			_ = w.Flush() // out itself tells of what cannot be written
		}
	}
	last := classes
	for _, t := range values {
		if c := t.class(); c != last {
			flush()
			last = c
			fmt.Fprintf(out, "\n%s\n\n", classNames[c])
			w = tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
			fmt.Fprintln(w, "script/value\ttruth\tcovered, %\twidth/need\tbias/need\tinterval\tconstant\tlimit\tnot known\twithheld\tremark\tmethods")
		}
		fmt.Fprintln(w, strings.Join(t.row(), "\t"))
	}
	flush()
	printWhys(out, values)
	printScripts(out, all)
	printSum(out, all, values)
}

// row is a line of the table; shares are in percent of the runs.
func (t *tallied) row() []string {
	percent := func(n int) string {
		if n == 0 {
			return ""
		}
		return fmt.Sprintf("%.0f", t.percent(n))
	}
	covered := "-"
	if t.judged > 0 {
		share, se := t.share()
		covered = fmt.Sprintf("%.1f ± %.1f", share, se)
	}
	limit := percent(t.kinds[bound])
	if wrong := t.limits - t.held; wrong > 0 {
		limit += fmt.Sprintf(" (%d wrong)", wrong)
	}
	return []string{t.script + "/" + t.id, t.truthText(), covered, ratio(t.over()), ratio(t.bias / t.need),
		percent(t.kinds[interval]), percent(t.kinds[constant]), limit, percent(t.kinds[unknown]), percent(t.kinds[withheld]), percent(t.remarked), t.methodText()}
}

// truthText is the truth with its unit; of words also how many runs say the same.
func (t *tallied) truthText() string {
	switch t.truth.kind() {
	case words:
		return fmt.Sprintf("%q, in %.0f %%", t.truth.Text, t.percent(t.same))
	case withheld:
		return "none: " + t.truth.Why
	case bound:
		return strings.TrimSpace(fmt.Sprintf("%s limit %.4g %s", t.truth.Bound, *t.truth.Value, t.unit))
	}
	return strings.TrimSpace(fmt.Sprintf("%.5g %s", *t.truth.Value, t.unit))
}

func (t *tallied) methodText() string {
	var all []string
	for _, m := range slices.Sorted(maps.Keys(t.methods)) {
		all = append(all, fmt.Sprintf("%s %d", m, t.methods[m]))
	}
	return strings.Join(all, ", ")
}

func ratio(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "-"
	}
	return fmt.Sprintf("%.2f", x)
}

// printWhys gives the reasons of values that are left out.
func printWhys(out io.Writer, values []*tallied) {
	for _, t := range values {
		if t.why != "" {
			fmt.Fprintf(out, "\n%s/%s: %s", t.script, t.id, t.why)
		}
	}
	fmt.Fprintln(out)
}

// printScripts says which scripts raise doubts or end in errors.
func printScripts(out io.Writer, all []surveyed) {
	for _, s := range all {
		doubted, failed := 0, 0
		texts := map[string]int{}
		for _, r := range s.runs {
			if r.Error != "" {
				failed++
				texts["error: "+r.Error]++
			}
			if len(r.Doubts) > 0 {
				doubted++
			}
			for _, d := range r.Doubts {
				texts["doubt: "+d]++
			}
		}
		if s.truth.Error != "" {
			fmt.Fprintf(out, "\n%s: on exact instruments it ends with: %s\n", s.script, s.truth.Error)
		}
		if doubted+failed == 0 {
			continue
		}
		fmt.Fprintf(out, "\n%s: of %d runs, %d raise doubts and %d end in an error\n", s.script, len(s.runs), doubted, failed)
		often := slices.SortedFunc(maps.Keys(texts), func(a, b string) int {
			if texts[a] != texts[b] {
				return texts[b] - texts[a]
			}
			return strings.Compare(a, b)
		})
		for _, text := range often[:min(3, len(often))] {
			fmt.Fprintf(out, "  %d times %s\n", texts[text], text)
		}
	}
}

// printSum says what all values came to.
func printSum(out io.Writer, all []surveyed, values []*tallied) {
	covered, judged, held, limits, states, runs, remarked, doubted, made := 0, 0, 0, 0, 0, 0, 0, 0, 0
	for _, t := range values {
		covered, judged, held, limits = covered+t.covered, judged+t.judged, held+t.held, limits+t.limits
		states += t.runs - t.kinds[unknown] - t.kinds[withheld]
		runs, remarked = runs+t.runs, remarked+t.remarked
	}
	for _, s := range all {
		made += len(s.runs)
		for _, r := range s.runs {
			if len(r.Doubts) > 0 {
				doubted++
			}
		}
	}
	percent := func(n, of int) float64 { return 100 * float64(n) / float64(max(of, 1)) }
	fmt.Fprintf(out, "\n%d scripts, %d values, %d runs: %.1f %% of %d intervals hold the truth, and %.1f %% of %d limits; %.1f %% of all values are stated, %.1f %% have a remark; %.1f %% of the runs raise doubts\n",
		len(all), len(values), made, percent(covered, judged), judged, percent(held, limits), limits, percent(states, runs), percent(remarked, runs), percent(doubted, made))
	var n [classes]int
	for _, t := range values {
		n[t.class()]++
	}
	fmt.Fprintf(out, "values: %d missed, %d perhaps, %d too wide, %d left out, %d held in more than 99 %%, %d as they should be\n", n[missed], n[perhaps], n[wide], n[leftOut], n[always], n[good])
}

// writeCSV writes a line for each value, with all that is known of it.
func writeCSV(out io.Writer, all []surveyed) error {
	w := csv.NewWriter(out)
	rows := [][]string{{"script", "value", "unit", "truth", "runs", "judged", "covered", "covered_percent", "standard_error", "width", "need", "width_over_need", "bias",
		"interval", "constant", "limit", "limits_judged", "limits_held", "words", "words_same", "not_known", "withheld", "remarked", "methods"}}
	for i := range all {
		for _, t := range all[i].tally() {
			share, se := t.share()
			truth := t.truth.Text
			if t.truth.Value != nil {
				truth = strings.TrimSpace(t.truth.Bound + " " + number(*t.truth.Value))
			}
			row := []string{t.script, t.id, t.unit, truth}
			for _, n := range []int{t.runs, t.judged, t.covered} {
				row = append(row, strconv.Itoa(n))
			}
			for _, x := range []float64{share, se, t.width, t.need, t.over(), t.bias} {
				row = append(row, number(x))
			}
			for _, n := range []int{t.kinds[interval], t.kinds[constant], t.kinds[bound], t.limits, t.held, t.kinds[words], t.same, t.kinds[unknown], t.kinds[withheld], t.remarked} {
				row = append(row, strconv.Itoa(n))
			}
			rows = append(rows, append(row, t.methodText()))
		}
	}
	return w.WriteAll(rows)
}

// number writes a number for a table, nothing where there is none.
func number(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return ""
	}
	return strconv.FormatFloat(x, 'g', 6, 64)
}
