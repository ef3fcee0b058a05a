// Package link is the way to an instrument that speaks over a line of bytes: a serial port, a TCP
// connection or a USBTMC device file.
//
// A bench file names it:
//
//	link = "serial:/dev/serial/by-id/usb-Tern_Dunlin_12-if00?baud=9600"
//	link = "tcp:192.0.2.7:5025"
//	link = "usbtmc:/dev/usbtmc0"
//
// # Serial ports
//
// The settings stand behind the name, after ? and between &: baud (9600), data (bits: 8), parity (none,
// odd, even, mark or space), stop (bits: 1, 1.5 or 2), and dtr and rts (on or off; left as they are where
// nothing is said). There is no flow control. A name below /dev/serial/by-id stays with the instrument; /dev/ttyUSB0 goes to
// whichever was connected first.
//
// # USBTMC
//
// An instrument on USBTMC speaks when it is asked to, so its device file is read only while
// something is waited for. This was tested against pseudo-terminals only, and on no instrument.
//
// # Conventions
//
//   - Each operation ends with its context, with the context's cause.
//   - What comes is kept (package inbox) until it is asked for, or thrown away with Drain.
//   - Errors of an address are [bench.Error]s of code bad-file. That nothing more can come is [io.EOF] or another
//     error that is no context's cause; so is a write that was given up ([ErrStuck]).
package link
