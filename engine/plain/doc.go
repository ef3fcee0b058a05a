// Package plain makes texts safe where they leave candelua: on a terminal, in a drawing, in a file for spreadsheets, in JSON, in a command to be typed.
//
// # What is from outside
//
// Every text is from outside (a script, a device, a file or its name, a journal, a colleague's run, the command line) unless its type is [Own].
// Own is for constants: Go makes one of a constant in the source, but of no variable without a conversion that a reader sees. So it is not the
// text from outside that must be marked and could be forgotten, but candelua's own, and what is forgotten is shown safely.
//
// # The exits
//
//   - A terminal, and whatever stdout and stderr are: a [Screen]. It is the only way to them, and makes safe what it is given.
//   - One line in a layout: [Line]. Text is measured and cut after that; the screen leaves it as it is.
//   - A message or a question that may have several lines: [Lines] and [Screen.Say]. Each further line begins with a bar, so that none looks like
//     a line of candelua's. A text that begins as candelua's own lines do gets a bar as well, from the screen.
//   - A drawing (SVG): [Markup]. A cell of a CSV file: [Cell].
//   - JSON: [JSON]. It stays exact data: what could harm a terminal is written as \u202e, and a reader gets the very text.
//   - A word of a command that is shown to be copied: [Word].
//
// # What is replaced
//
// What moves a cursor, hides or reverses text has no place in a line: control characters (C0 and C1, so escape sequences, carriage return and
// backspace), bytes that are no UTF-8, the ends of lines and paragraphs of Unicode, and whatever cannot be seen or has no stated look: format
// characters (directions, zero width, tags), fillers, private use and noncharacters. Each is shown as U+FFFD, so that two texts that differ look
// different. A tab becomes a space in a line. Wide characters and accents stay.
//
// Source: the General_Category and the properties Default_Ignorable_Code_Point, Prepended_Concatenation_Mark and Noncharacter_Code_Point of the Unicode
// Standard; which of them to show: UTS 39 and UTR 36 for the danger, the choice is our own.
package plain
