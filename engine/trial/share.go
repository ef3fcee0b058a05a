package trial

import (
	"encoding/json"
	"errors"
	"fmt"
	"hash/fnv"
	"io"
	"slices"
	"strconv"
	"strings"
)

// Share is a part of the runs of trials: one in so many. The shares of the same trials
// take each run once, whatever machine each is run on.
type Share struct {
	Number int `json:"number"` // 1 to Of
	Of     int `json:"of"`
}

// mostShares bounds into how many parts runs are divided.
const mostShares = 100000

// ParseShare reads "3/16".
func ParseShare(text string) (Share, error) {
	number, of, _ := strings.Cut(text, "/")
	n, err1 := strconv.Atoi(number)
	k, err2 := strconv.Atoi(of)
	s := Share{n, k}
	if err1 != nil || err2 != nil || !s.valid() {
		return Share{}, fmt.Errorf("is %q; it must be a part of all parts, such as 3/16: the first number is 1 to the second, and the second is at most %d", text, mostShares)
	}
	return s, nil
}

func (s Share) valid() bool { return 1 <= s.Number && s.Number <= s.Of && s.Of <= mostShares }

func (s Share) String() string { return fmt.Sprintf("%d/%d", s.Number, s.Of) }

// takes says whether a run of a trial belongs to the share. Trials begin at different
// shares, because else the first would get all that does not divide evenly.
func (s Share) takes(trial string, run int) bool {
	if s.Of <= 1 {
		return true
	}
	h := fnv.New32a()
	io.WriteString(h, trial)
	return (int(h.Sum32()%mostShares)+run)%s.Of == s.Number-1
}

// Part is a share of trials, as it is kept in a file.
type Part struct {
	Kind    string `json:"kind"`
	Format  int    `json:"format"`
	Version string `json:"version"` // of the candelua that made it
	Share
	Trials []*Outcome `json:"trials"`
}

const (
	partKind   = "candelua trial part"
	partFormat = 1
)

// NewPart is the part that a share of the trials came to.
func NewPart(version string, share Share, trials []*Outcome) *Part {
	return &Part{Kind: partKind, Format: partFormat, Version: version, Share: share, Trials: trials}
}

// ParsePart reads a part. It fails for what is none, and for one of a later format.
func ParsePart(data []byte) (*Part, error) {
	var p Part
	if err := json.Unmarshal(data, &p); err != nil || p.Kind != partKind {
		return nil, errors.New("it is no part of a trial; it must be a file that candelua trial --shard wrote, whole")
	}
	if p.Format != partFormat {
		return nil, fmt.Errorf("its format is %d; this candelua reads format %d; use the candelua that wrote it, version %q", p.Format, partFormat, p.Version)
	}
	if !p.valid() || slices.Contains(p.Trials, nil) {
		return nil, fmt.Errorf("it is damaged: it is part %s; make it anew with candelua trial --shard", p.Share)
	}
	return &p, nil
}

// Merge joins the parts of trials into the outcomes of all runs. The parts may come in any
// order, but all must be there, of the same trials, made by the same candelua.
func Merge(parts []*Part) ([]*Outcome, error) {
	if len(parts) == 0 {
		return nil, errors.New("no part is given; name the files of all parts")
	}
	parts = slices.Clone(parts)
	slices.SortStableFunc(parts, func(a, b *Part) int { return a.Number - b.Number })
	if err := checkParts(parts); err != nil {
		return nil, err
	}
	var all []*Outcome
	for i := range parts[0].Trials {
		whole := *parts[0].Trials[i]
		whole.Runs = nil
		for _, p := range parts {
			o := p.Trials[i]
			if err := whole.sameButRuns(o); err != nil {
				return nil, fmt.Errorf("trial %s: part %s and part %s do not belong together: %w; make all parts with the same files and the same command", whole.Trial, parts[0].Share, p.Share, err)
			}
			whole.Runs = append(whole.Runs, o.Runs...)
		}
		slices.SortFunc(whole.Runs, func(a, b runResult) int { return a.Number - b.Number })
		if err := whole.whole(); err != nil {
			return nil, fmt.Errorf("the parts are damaged: %w; make them anew with candelua trial --shard", err)
		}
		all = append(all, &whole)
	}
	return all, nil
}

// checkParts wants each part once, sorted by number.
func checkParts(parts []*Part) error {
	first := parts[0]
	there := map[int]bool{}
	for _, p := range parts {
		switch {
		case p.Of != first.Of:
			return fmt.Errorf("part %s and part %s are of different divisions; give the parts of one", first.Share, p.Share)
		case there[p.Number]:
			return fmt.Errorf("part %s is given twice; give each part once", p.Share)
		case p.Version != first.Version:
			return fmt.Errorf("part %s was made by candelua %s, and part %s by %s; make all parts with one version", first.Share, first.Version, p.Share, p.Version)
		case len(p.Trials) != len(first.Trials):
			return fmt.Errorf("part %s has %d trials, and part %s has %d; make all parts with the same command", first.Share, len(first.Trials), p.Share, len(p.Trials))
		}
		there[p.Number] = true
	}
	var missing []string
	for n := 1; n <= first.Of && len(missing) <= 8; n++ {
		if !there[n] {
			missing = append(missing, strconv.Itoa(n))
		}
	}
	if len(missing) > 8 {
		missing[8] = "…"
	}
	if len(missing) > 0 {
		return fmt.Errorf("%d of %d parts are given; missing: %s; make them with candelua trial --shard N/%d", len(parts), first.Of, strings.Join(missing, ", "), first.Of)
	}
	return nil
}
