// Package player is the source of patches for a unit that plays files: stills or videos of all patches that a procedure asks for,
// in a folder, and the driver with which a person, or the video itself, shows them.
//
// # Conventions
//
//   - [Write] makes a folder: one file a picture, numbered in the order in which the patches are first asked for, an index for people
//     (index.html), one for spreadsheets (index.csv) and one for the driver (patches.json).
//   - Two patches that are the same picture to the last pixel, in the same signal and with the same metadata, are one file.
//   - A folder is there whole or not at all: it is made beside its place, checked, and put there in one step. Only a folder
//     that this package made is ever replaced, and only if nothing else is in it.
//   - Videos are decoded again before a folder counts as made, and must give each code as it was asked for.
//
// # Videos
//
// A [Video] is what televisions play: HEVC Main 10, 4:2:0, limited range, BT.2020 or BT.709 luma and chroma. Its codes are the
// nearest that this coding has, so red, green and blue are not quite what was asked for: [Entry.Shown] says what the codes
// stand for, and the driver records that as what was shown. All edges lie on even pixels, so that no chroma sample is
// shared by two colours. A [Lossless] video is 4:4:4 and holds red, green and blue as they were asked for.
//
// # A video of a whole procedure
//
// It holds all patches of a run one after the other ([Schedule]) and plays by itself. It begins with dark and bright fields. The
// meter reads them, and the driver finds by least squares when they came, and so when each patch will come. Where a patch is clearly
// brighter or darker than the one before, the meter looks at the change: it must come in its time, and says anew where the video is. A
// player that is a little quick or slow is followed so. One that stalls, or a run that is slower than the schedule, is an
// [bench.ErrSlipped]: the run pauses, and what was read since the patch before is set aside.
//
// # Where it ends
//
// The package knows no procedure and no run. It is given a list of patches, and a person to speak to.
package player
