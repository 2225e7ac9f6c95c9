// Package composite makes the signal on the cable out of a sampled picture,
// and a picture out of the signal: composite and Y/C of 525 and 625 lines at
// four times the subcarrier, component and RGB with sync at 27 MHz, with every
// sample of sync, burst and blanking.
//
// Levels are mV above blanking at a 75 ohm termination. Time is counted in
// whole samples from the first one at or after 0H of line 1 of color field 1,
// where the subcarrier of +(B'-Y') has phase 0: SC/H is zero by construction
// (SMPTE 170M clause 13.2, EBU Tech 3280-E clause 1.1.1).
//
// An [Encoder] is fed with frames that were sampled on its own lattice, so it
// needs to know nothing of patterns. A [Decoder] is the other way, and the
// model of a set.
package composite
