package notices

// Table says where numbers in a source file were transcribed from.
type Table struct {
	Files   string // of the source tree
	Data    string
	Source  string // who published the numbers
	Package string // in which they were found, or with which they were compared
	Licence string // of the package, by its SPDX name
	text    string // in the folder data; empty for what is not part of the program
}

// Tables returns the transcribed tables. What only tests read is among them.
func Tables() []Table {
	return []Table{
		// Which package the step of 1 nm was first taken from is no longer known. That this one has the same numbers is from memory.
		{"colour/observer_1931.go, colour/observer_1964.go", "colour-matching functions of the CIE 1931 and 1964 observers, every nm",
			"ISO/CIE 11664-1", "colour-science 0.4.6", bsd3, "colour-science"},
		{"colour/daylight_tables.go", "components of daylight, every 10 nm", "CIE 15:2004, table T.2", "yorick 2.2.04, cie.i", bsd3, "yorick"},
		{"testdata/published/cmf_cie1931_2deg_5nm.csv", "colour-matching functions of the CIE 1931 observer, every 5 nm",
			"ISO/CIE 11664-1", "yorick 2.2.04, cie.i", bsd3, ""},
		{"testdata/published/ciede2000_sharma.csv", "pairs of colours and their difference",
			"Sharma, Wu and Dalal, Color Research and Application 30(1), 2005, table 1", "scikit-image 0.19.3", bsd3, ""},
		{"testdata/published/illuminants.csv", "chromaticities of CIE illuminants", "CIE 15:2004", "colour-science 0.4.6", bsd3, ""},
	}
}

const bsd3 = "BSD-3-Clause"

// licences returns the licences of the packages whose numbers are part of the program.
func licences() []Text {
	var all []Text
	for _, t := range Tables() {
		if t.text == "" {
			continue
		}
		src, err := files.ReadFile("data/" + t.text + ".txt")
		if err != nil {
			panic(err) // the file is part of this program
		}
		all = append(all, Text{t.Package, string(src)})
	}
	return all
}
