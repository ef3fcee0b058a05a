// Package screen is the driver "screen": the unit's own screen is the source of patches, through a page in its browser.
//
// A [Source] serves the page (package page: who is let in), shows its address and a QR code, and takes one page at a
// time for the unit's. What a patch is in whole pixels is package paint's; the page paints integer rectangles with 8-bit
// codes on a canvas whose pixels are those of the screen, and computes nothing. page.html is that page, in one file.
//
// # Painted
//
// A patch is asked for by a number, and the page answers with it when the browser has shown the frame (Element Timing
// of an image without colour that comes in the same frame, where the browser has that; else three animation frames). A
// patch counts as lit [settling] later, and the uncertainty of that is on record. The display itself may process the
// picture for longer: [bench.Shown.Painted] says so.
//
// Times on the page are of its own clock. Echoes tell how far it is from this machine's, and how well that is known.
// A sequence is timed by the page alone, so holds do not depend on the network.
//
// # What could make another picture of it
//
// The page tells at each answer, and whenever something changes: the pixels of the box, the screen, the pixel ratio,
// whether it is visible and in full screen, the scale of a pinch, forced dark mode, forced or inverted colours. Where a
// picture could be another one than was asked for, nothing is shown: the page and the terminal say why. What happens
// meanwhile is a lapse ([bench.Returning]): the step has no answer, the run stands still, waits until the page is back
// as it was at the start (same pixels, same ratio), paints again, and goes on. Each step of a meter is confirmed by an
// echo after its end, so a reading of a page that was hidden or frozen is never taken.
//
// A page that hears nothing for ten seconds makes itself black.
//
// # What nobody can tell
//
// A page does not learn of a night light, a filter or an enhancement of the unit's system, of another window that a
// window system puts over it without a word, or of a message that it draws on top. [Source] cannot know them either:
// the checks of a procedure (run.guard) are for them.
//
// # Other paths
//
// Plain codes are painted on a canvas. Patches of P3, PQ and HLG are still images (package still) that cover the screen.
// P3 is refused unless the browser takes the screen for one of P3 and decodes such an image to its own codes, to one of rounding; HDR unless
// it states a high dynamic range. It cannot be verified what the system does to them after that: a profile that is near
// P3 and is not, or HDR that is scaled with the brightness of SDR. So the path is on record with each patch.
//
// # Where it ends
//
// SDR patches have 8 bits. What else is asked for is refused ([bench.CodeUnsupported]) with the reason.
package screen
