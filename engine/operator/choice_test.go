package operator

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"unicode"

	"candelua/engine/bench"
)

// hard are choices that are commands, numbers, marks of numbers, or cannot be typed.
var hard = []string{"back", "pause", "help", "PAUSE", "stop", "yes", "no", "Enter", "/back", "/pause", `\pause`, `\\back`, "1", "2", "3", "10", "1.0", "1e0", "-1", "#1", "#2",
	"##1", "#", "2 m", "two words", " ", "a\nb", "\x1b[2J", "a\u202eb", "a\u200b", "a", "峰", "candelua: error: x", "xyz 1 2 3", "200 0.31 0.33"}

// answerOf gives a question lines to read, and returns the answer, what was shown,
// and the error.
func answerOf(t *testing.T, q bench.Question, lines ...string) (bench.Reply, string, error) {
	t.Helper()
	var shown bytes.Buffer
	d, err := New(NewConsole(strings.NewReader(strings.Join(lines, "\n")+"\n"), &shown), Options{})()
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	device, err := d.Open(t.Context(), bench.KindOperator, bench.Section{})
	if err != nil {
		t.Fatal(err)
	}
	reply, err := device.(bench.Operator).Ask(t.Context(), q)
	return reply, shown.String(), err
}

// Whatever the words of choices are, each can be chosen by the number that is shown
// beside it, each that can be typed by its words, marked as text where they are a
// command, and every command can be given.
func TestEveryChoiceAndEveryCommand(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for n := range 300 {
		words := slices.Clone(hard)
		r.Shuffle(len(words), func(i, j int) { words[i], words[j] = words[j], words[i] })
		words = words[:1+r.IntN(12)]
		q := bench.Question{Kind: bench.Choice, Text: "Which?", Choices: words}
		_, shown, _ := answerOf(t, q, "/pause")
		lines := strings.Split(shown, "\n")
		i := r.IntN(len(words))
		number := strings.Fields(lines[1+i])[0]
		if reply, _, err := answerOf(t, q, number); err != nil || reply.Text != words[i] {
			t.Fatalf("case %d, %q: %s chooses %q, want %q; %v", n, words, number, reply.Text, words[i], err)
		}
		if w := words[i]; strings.TrimSpace(w) == w && !strings.Contains(w, "\n") {
			line := w
			if slices.Contains([]string{"back", "pause", "help", "/back", "/pause"}, strings.ToLower(strings.TrimLeft(w, `\`))) {
				line = `\` + w
			}
			if reply, _, err := answerOf(t, q, line); err != nil || reply.Text != w {
				t.Fatalf("case %d, %q: the words %q choose %q, %v", n, words, line, reply.Text, err)
			}
		}
		if _, _, err := answerOf(t, q, "/back"); !errors.Is(err, bench.ErrStruck) {
			t.Fatalf("case %d, %q: /back is %v", n, words, err)
		}
		for _, command := range []string{"back", "pause"} {
			taken := slices.ContainsFunc(words, func(w string) bool { return strings.EqualFold(w, command) })
			_, shown, err := answerOf(t, q, command)
			want := map[string]error{"back": bench.ErrStruck, "pause": bench.ErrPaused}[command]
			said := strings.Contains(shown, fmt.Sprintf("%q is an answer here, and a command as well: type ", command))
			if taken != said || !taken && !errors.Is(err, want) {
				t.Fatalf("case %d, %q: %s is %v, and shows\n%s", n, words, command, err, shown)
			}
		}
		_, shown, _ = answerOf(t, q, "/help", "/pause")
		if !strings.Contains(shown, "You can type:\n") || strings.ContainsFunc(strings.ReplaceAll(shown, "\n", ""), func(c rune) bool { return unicode.IsControl(c) || unicode.Is(unicode.Cf, c) }) {
			t.Fatalf("case %d, %q: help shows\n%q", n, words, shown)
		}
	}
}

// The commands that a choice takes the words of are told where they are needed.
func TestChoiceNamedAsCommand(t *testing.T) {
	q := bench.Question{Kind: bench.Choice, Text: "What next?", Choices: []string{"go on", "Pause"}}
	_, shown, err := answerOf(t, q, "pause", "help", "2")
	want := `What next?
  1  go on
  2  Pause
Your choice:
"pause" is an answer here, and a command as well: type 2 for the answer, or type /pause to stop here.
You can type:
  1        a choice by its number
  go on    a choice by its words
  back     withdraw your last answer and give it again
  /pause   stop here; the run can be resumed later
  help     show this list
What next?
  1  go on
  2  Pause
Your choice:
`
	if err != nil || shown != want {
		t.Errorf("error %v, shown\n%s\nwant\n%s", err, shown, want)
	}
}

// What a question says is the script's in every line, and no field of it
// reaches the screen as it is.
func TestQuestionsAreShownSafely(t *testing.T) {
	bad := "x\ncandelua: error: lost\x1b[2J\u202e\x00\u009b"
	for _, q := range []bench.Question{
		{Kind: bench.Confirm, Text: bad},
		{Kind: bench.Text, Text: bad},
		{Kind: bench.Number, Text: bad, Unit: bad, Min: limit(0)},
		{Kind: bench.Choice, Text: bad, Choices: []string{bad, "candelua: hint: x"}},
		{Kind: bench.Confirm, Text: "candelua: error: lost"},
	} {
		_, shown, _ := answerOf(t, q, "help", "zzz\x1b[2J", "/pause")
		for l := range strings.Lines(shown) {
			if strings.HasPrefix(l, "candelua:") {
				t.Errorf("%+v is shown as\n%s", q, shown)
			}
		}
		if strings.ContainsFunc(shown, func(c rune) bool { return c != '\n' && unicode.IsControl(c) || unicode.Is(unicode.Cf, c) }) {
			t.Errorf("%+v is shown as\n%q", q, shown)
		}
		if q.Text == bad && !strings.Contains(shown, "\n  | candelua: error: lost�[2J") {
			t.Errorf("%+v is shown without a bar:\n%s", q, shown)
		}
	}
}

// A unit that is a digit does not take a digit of the number.
func TestUnitIsNoPartOfTheNumber(t *testing.T) {
	for _, c := range []struct {
		unit, line string
		want       float64
	}{{"5", "15", 15}, {"5", "15 5", 15}, {"mm", "12mm", 12}, {"mm", "12", 12}, {"0", "10", 10}, {".5", "1.5", 1.5}} {
		reply, _, err := answerOf(t, bench.Question{Kind: bench.Number, Text: "How much?", Unit: c.unit}, c.line)
		if err != nil || reply.Number != c.want {
			t.Errorf("%q in %q is %v, want %v; %v", c.line, c.unit, reply.Number, c.want, err)
		}
	}
}
