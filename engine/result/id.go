package result

import (
	"fmt"
	"hash/fnv"
	"strings"
	"unicode"
)

// maxID is the most bytes that an id has.
const maxID = 64

// ID makes the id of a name: "Peak luminance" gives "peak-luminance".
//
// Letters become small ASCII letters and digits ASCII digits; all else parts
// words, and words are joined by single hyphens. In particular:
//
//   - accents are dropped ("Säule" gives "saule", composed or not), ß, æ, œ
//     and þ become two letters;
//   - a Greek letter is a word of its own, by its name: "Δu′v′" gives
//     "delta-u-v", "µm" gives "mu-m";
//   - raised and lowered digits and those of other scripts become digits:
//     "cd/m²" gives "cd-m2";
//   - any other letter is a word of its own, "u" and its code point in
//     hexadecimal, so that no two such names fall together.
//
// A result beyond maxID bytes is cut, and ends in a sum of the whole name.
// A name without letters and digits gives "". Names that differ in signs only
// ("gain +5", "gain −5") give the same id, which [Results] refuses: the script
// then states an id. ID(ID(name)) is ID(name).
func ID(name string) string {
	var b strings.Builder
	parted := true // nothing to be joined to yet
	word := func(s string, alone bool) {
		if (parted || alone) && b.Len() > 0 {
			b.WriteByte('-')
		}
		b.WriteString(s)
		parted = alone
	}
	for _, r := range name {
		if folded, alone, ok := fold(r); ok {
			if folded != "" {
				word(folded, alone)
			}
			continue
		}
		parted = true
	}
	return shorten(b.String(), name)
}

// idOr returns the id that was given or, where none was, the name's.
func idOr(id, name string) string {
	if id != "" {
		return id
	}
	return ID(name)
}

// shorten cuts an id that is too long, and keeps it apart from others by a
// sum of the name.
func shorten(id, name string) string {
	if len(id) <= maxID {
		return id
	}
	sum := fnv.New32a()
	sum.Write([]byte(name))
	tail := fmt.Sprintf("-%08x", sum.Sum32())
	return strings.TrimRight(id[:maxID-len(tail)], "-") + tail
}

// fold returns what stands for a rune in an id, and whether that is a word of
// its own. It is not ok for a rune that parts words; a combining mark folds
// to nothing.
func fold(r rune) (s string, alone, ok bool) {
	r = unicode.ToLower(r)
	if r >= 0xFF01 && r <= 0xFF5E { // full-width forms of ASCII
		r = unicode.ToLower(r - 0xFEE0)
	}
	switch {
	case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
		return string(r), false, true
	case r < 0x80:
		return "", false, false
	case unicode.Is(unicode.Mn, r):
		return "", false, true
	}
	if s, is := latin[r]; is {
		return s, false, true
	}
	if s, is := greek[r]; is {
		return s, true, true
	}
	if d, is := digit(r); is {
		return string('0' + d), false, true
	}
	if unicode.IsLetter(r) {
		return fmt.Sprintf("u%x", r), true, true
	}
	return "", false, false
}

// digit returns the value of a raised, lowered or foreign decimal digit. The
// Unicode standard encodes the digits of a script in order, nought first.
//
// Source: [Unicode], section 4.6.
func digit(r rune) (rune, bool) {
	for _, row := range []string{"⁰¹²³⁴⁵⁶⁷⁸⁹", "₀₁₂₃₄₅₆₇₈₉"} {
		for i, d := range []rune(row) {
			if d == r {
				return rune(i), true
			}
		}
	}
	for _, run := range unicode.Nd.R16 {
		if rune(run.Lo) <= r && r <= rune(run.Hi) {
			return (r - rune(run.Lo)) % 10, true
		}
	}
	for _, run := range unicode.Nd.R32 {
		if rune(run.Lo) <= r && r <= rune(run.Hi) {
			return (r - rune(run.Lo)) % 10, true
		}
	}
	return 0, false
}

// latin folds the small letters of Latin-1 and Latin Extended-A.
var latin = spread(map[string]string{
	"a": "àáâãäåāăą", "c": "çćĉċč", "d": "ďđð", "e": "èéêëēĕėęě", "g": "ĝğġģ", "h": "ĥħ",
	"i": "ìíîïĩīĭįı", "j": "ĵ", "k": "ķĸ", "l": "ĺļľŀł", "n": "ñńņňŉ", "o": "òóôõöøōŏő",
	"r": "ŕŗř", "s": "śŝşšſ", "t": "ţťŧ", "u": "ùúûüũūŭůűų", "w": "ŵ", "y": "ýÿŷ", "z": "źżž",
	"ss": "ß", "ae": "æ", "oe": "œ", "th": "þ", "ng": "ŋ", "ij": "ĳ",
})

// greek names the small Greek letters; the increment sign is a delta and the
// micro sign a mu to whoever writes a name.
var greek = spread(map[string]string{
	"alpha": "α", "beta": "βϐ", "gamma": "γ", "delta": "δ∆", "epsilon": "εϵ", "zeta": "ζ", "eta": "η", "theta": "θϑ",
	"iota": "ι", "kappa": "κϰ", "lambda": "λ", "mu": "μµ", "nu": "ν", "xi": "ξ", "omicron": "ο", "pi": "πϖ",
	"rho": "ρϱ", "sigma": "σς", "tau": "τ", "upsilon": "υ", "phi": "φϕ", "chi": "χ", "psi": "ψ", "omega": "ω",
})

// spread turns "a": "àá" into 'à': "a", 'á': "a".
func spread(rows map[string]string) map[rune]string {
	all := map[rune]string{}
	for to, from := range rows {
		for _, r := range from {
			all[r] = to
		}
	}
	return all
}
