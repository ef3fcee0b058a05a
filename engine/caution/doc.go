// Package caution says which hazards a procedure can cause, in words for the person at the bench. A hazard
// follows from what a script asks: a procedure that is new has its cautions without any care of its author.
//
// # Conventions
//
//   - A caution is about people and equipment. Advice on method is no caution, and neither is a doubt about a
//     result.
//   - A caution always defers: to the instructions of unit, lamp, meter and rig, to local codes, to qualified
//     people.
//   - [Of] reads what a script can ask, before it runs. It sees too much rather than too little. [ByRequest] says
//     what one request causes. The engine shows a caution before the first request of its kind reaches a device,
//     whatever [Of] has seen.
//   - Everything here is computed from its arguments.
//
// # Flashes
//
// [Flashes] judges what the screen shows by WCAG 2.2, success criterion 2.3.1 (three flashes or below threshold). The
// unit's switch, its controls and lamps count with the patches, since they make light and dark as well. A procedure
// that flashes more must say so in its contract, and somebody must accept it.
//
// # Still pictures
//
// [Still] adds up for how long bright pictures stood still. Its unit is the hour of full SDR white.
package caution
