// Package scripted drives instruments by Lua files, so that an instrument that speaks over a port or a network
// can be used without building candelua anew.
//
// # A driver
//
// A bench file names the driver's file, relative to itself, and the link:
//
//	[meter]
//	driver  = "lua"
//	link    = "serial:/dev/serial/by-id/usb-Tern_Dunlin_12-if00?baud=9600"
//	timeout = "5s"       # for one answer
//	retries = 2          # after the first try
//	[meter.options]
//	file = "dunlin.lua"
//	wait = 0.5           # a setting of the driver
//
// The file returns what the driver can do:
//
//	local wait
//
//	return driver {
//	  kind = "meter",    -- or patches, unit, rig
//	  title = "Dunlin colorimeter",
//	  settings = { wait = { default = 0, unit = "s", min = 0, max = 10, help = "sets how long to wait before a reading" } },
//	  open = function(link, settings) wait = settings.wait end,
//	  about = function(link)
//	    return { name = "Dunlin", serial = link:ask("ID\r", { ends = "\r\n" }):match("^DUNLIN (%S+)") }
//	  end,
//	  read = function(link, ask)
//	    link:wait(wait)
//	    local answer = link:ask("M\r", { ends = "\r\n" })
//	    local wrong = answer:match("^ER (%d+)")
//	    if wrong then refused("error " .. wrong) end
//	    local Y, x, y = answer:match("^OK (%S+) (%S+) (%S+)$")
//	    return { Y = tonumber(Y), x = tonumber(x), y = tonumber(y) }
//	  end,
//	  resync = function(link)
//	    local question = "E " .. math.random(1e9) -- the instrument repeats such a line
//	    link:write(question .. "\r")
//	    repeat until link:line { ends = "\r\n" } == question
//	  end,
//	}
//
// testdata/examples/drivers has whole drivers: lines (dunlin.lua), SCPI with its queue of errors (heron.lua), frames of bytes
// with a checksum (knot.lua), frames with escaped bytes and a CRC (turnstone.lua), echoes, a prompt and decimal commas (whimbrel.lua), pattern
// generators (plover.lua, and redshank.lua, which is busy at times).
//
// # Its functions
//
//	open(link, settings)   first of all, whenever the link was opened; may be left out
//	about(link)            who is there: { name =, serial =, firmware =, spectrum =, sync =, floor =, lamps = }; only name is required
//	resync(link)           see below
//	close(link)            before the link is closed, if the instrument must be told; 1 s at most
//
//	kind      functions      ask                                        returns
//	meter     read           spectrum, sync, expect (cd/m2, 0: unknown) { Y =, x =, y = } or { X =, Y =, Z = } or { Y = } in cd/m2; may add
//	                                                                    spectrum = { from =, step = (nm), values = W/(sr m2 nm) }, seconds =
//	                                                                    (integration), count = (number of the reading), flags = { "saturated" }
//	          dark           -                                          -
//	patches   show           codes, back_codes, bits, window (%), at_x,  { delay = (s, from the answer to the light), area = (%) }, or nothing
//	                         at_y, red, green, blue (0 to 1), …
//	unit      set, power     name, value; on                            -
//	rig       lamp           lamp, level (%)                            -
//	          turn           axis, degrees                              { degrees = }, or nothing
//	          place          x, y (0 to 1)                              { x =, y = }, or nothing
//	          lux            at ("screen" or "sensor")                  { lux = }
//
// [driver.Messages] has all fields. Each is a function(link, ask). What a driver has no function for, the instrument
// cannot do. A meter must have read, patches show, a unit set, a rig one of its four.
//
// # What it can call
//
//	link:write(text)                     sends bytes
//	link:line{ ends =, timeout = }       waits for a line, and gives it without its end; without ends: a line feed, or carriage return and line feed
//	link:ask(text, { ends =, timeout = })  write, then line
//	link:bytes(count, { timeout = })     waits for so many bytes
//	link:wait(seconds)                   waits
//	link:flush()                         drops what came unasked
//	refused(text)                        the instrument itself reports an error, and its answer was read to the end
//	error(text)                          the answer cannot be understood
//	bytes.pack, unpack, sum, xor, crc16, hex, from_hex    numbers in bytes, and checksums
//
// and the Lua of procedures: string, table, math, pcall, print (shown with --log-level trace). There is no file, no clock and no other
// link. Texts hold any bytes. [Reference] lists all with their arguments.
//
// # Time
//
// Every wait ends with the request: its time is the timeout of the bench file (10 s or 60 s where it states none). A shorter timeout can be
// given to a single wait. No pcall catches a time-out or a lost connection, because an answer may still be under way.
// Nothing may come in a line longer than 65536 bytes.
//
// # Answers that come late
//
// What came before a request, or after the last thing that was read, is dropped before the next write. Two writes with nothing read
// between them belong together, and nothing is dropped between them.
//
// An answer that comes later than that would be taken for the next one. So after each failure a TCP link is opened anew: the old connection takes
// its answers with it. A serial port does not. There resync is called, which asks a question whose answer
// is known, best one with a new number in it, and reads until that answer comes: what came before it belonged to earlier questions. Waiting for
// silence is not enough, and neither is an answer that an instrument gives while it still measures: its reading comes later, so it must be
// told to stop first, or be asked until it is idle. If resync fails, the link is closed and opened anew. resync is also called whenever the
// link was opened. A box that puts a serial port on a network keeps late answers too: give a driver resync where it may be used with one ([Program.Doubt]). If the instrument never answers anything, write resync = function(link) end.
//
// # Failures
//
//	refused(…)                      code instrument; tried again
//	error(…), a mistake in Lua,
//	an answer that does not fit     code garbled; tried again, in step
//	a wait that was in vain         code timeout; the same
//	the connection is lost          opened anew; if that fails, the run is paused
//
// Messages name the driver's file and line, and what was sent and received last. The last 2 KiB that went over the link during a request
// that failed are kept in the journal, beside the failure; --log-level trace shows those of all requests.
//
// # What is kept
//
// The journal keeps the driver's file with the run: a resumed run uses that text, unless a corrected bench file is named. Variables of the file live as long as the link is open;
// when it is opened anew, the file runs anew.
//
// # Where it ends
//
// Tries, time-outs and plausibility are package driver's. Links are package link's.
package scripted
