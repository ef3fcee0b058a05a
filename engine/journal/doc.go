// Package journal keeps the append-only record of a run, verifies it, recovers it after a crash, and
// answers what was recorded at which step, which is all that a replay needs.
//
// # Conventions
//
//   - It stores and verifies. It does not interpret: the head, arguments and answers are JSON of somebody else.
//   - Nothing is ever changed or deleted. What is no longer valid is set aside by a later record.
//   - Nothing is guessed: what does not fit is damage, with the number of the record.
//   - There are no time stamps and nothing random, so equal runs give files that are equal to the byte.
//
// # File
//
// A journal is a file of JSON Lines: one JSON object ([RFC8259]) a line, without white space between
// tokens, UTF-8, each line ended by a newline and at most maxLine bytes long. The first line is the head:
//
//	{"journal":"candelua","format":1,"sum_by":"sha256-64","head":{…},"sum":"…"}
//
// Its "head" is the engine's own object. Every other line has its kind first, then those of these fields
// that it carries, in this order, and its sum last:
//
//	kind, step, name, device, block, unbroken, from, args, data, failure, at, t, by_hand, reason, status, pause_s, sum
//
// Script times (t) and pauses (pause_s) are in seconds. A failure is {"code","message"} and may have a
// "hint". Which kind carries which fields is in the comments of [Record]. Fields that are empty or false
// are left out. An unknown field is damage: a field can only be added with a new format.
//
// The sum is the first 16 hex digits of the SHA-256 of the previous record's sum (nothing, for the head)
// followed by the line's bytes before `,"sum":`. It finds damage; it is no signature.
//
// # Grammar
//
//	ask      of step n+1, where n steps are answered and in effect. An ask of it that was never answered
//	         makes this a retake; its arguments may differ.
//	sample   belongs to the open ask.
//	answer   belongs to the open ask and closes it. A failure that the script caught is an answer;
//	         its data, if any, is what its driver kept for those who look for a fault.
//	aside    anywhere but after an end. It leaves an open ask open.
//	open     block b+1, where b blocks are in effect.
//	close    the innermost open block.
//	void     from step 1 to n+1. The steps from there on are set aside and the next ask must be that step's.
//	pause    only while the run moves. After it come asides, voids, an end or a resume.
//	end      any time but after an end. After it come only voids and a resume, whatever its status: a run
//	         that was done may be resumed to withdraw a reading and take it again.
//	resume   any time. After a crash there is no pause before it.
//
// Open, close, void, pause, end and resume give up an open ask: it stays unanswered.
//
// A void drops the blocks that were opened at or after the step from which it sets aside, and opens again
// those that were closed after it. A block without steps that was over before that step stays. A void
// after an end leaves the run paused, so that a resume must follow.
//
// # Recovery
//
// A last line without its newline is torn: it is left out and cut from the file by the first Append. A
// record is acknowledged only after its whole line, newline included, was written (and synced, where
// [Options] asks for it), so a torn line was never acknowledged. Anything else that does not fit its sum
// or the grammar is damage, and refused with the record's number.
//
// Another program may remove, replace or empty the file while it is written. Append looks for that at each
// answer, void, pause and end, and [Journal.Close] compares the whole file. It is then written anew from
// memory, and Tell of [Options] is told. What was found in its place is renamed to journal-found-<n>.jsonl.
//
// # Damage
//
// [Part] separates what comes before the first damaged record from what comes after. [Parted.Cut] cuts the file, and does so only where a side file holds
// just what is cut. See package survey for the whole repair.
//
// A damaged head is made again from the engine's object, where somebody else kept it: [PartHead] checks by the sums that
// it is the one that was there.
//
// # Where it ends
//
// Which step a script asks for, and whether it equals the recorded one, is package play. What records mean together is package history. The file is
// stable by its format version. testdata/journals has files of each kind that must stay readable.
package journal
