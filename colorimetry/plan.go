package colorimetry

import "fmt"

// A Plan is the wanted levels on the wire and those that the player's own
// encoder makes of plain codes. Either may be nil, for not known: then a file
// holds plain codes and the wire carries what the player makes of them.
type Plan struct{ Wire, Player *Family }

// gains returns the luma offset and gain, and the gains of CB and CR, from a
// wanted signal to that in the file. The three are solved separately: formats
// with setup scale luma and chroma differently.
func (p Plan) gains() (offset, luma, cb, cr float64) {
	if p.Wire == nil || p.Player == nil || p.Wire == p.Player {
		return 0, 1, 1, 1
	}
	w, q := p.Wire, p.Player
	scale := float64(q.White - q.Black)
	wu, wv := w.chromaGain()
	qu, qv := q.chromaGain()
	return float64(w.Black-q.Black) / scale, float64(w.White-w.Black) / scale, float64(wu / qu), float64(wv / qv)
}

// gain is what one component is mapped by: offset + gain * v.
func (p Plan) gain(c Component) (offset, gain float64) {
	offset, luma, cb, cr := p.gains()
	switch c {
	case Y:
		return offset, luma
	case CB:
		return 0, cb
	default:
		return 0, cr
	}
}

// Plain reports whether the file holds plain BT.601 codes.
func (p Plan) Plain() bool {
	return p.Wire == nil || p.Player == nil || p.Wire == p.Player
}

// Map returns what a file must hold for s, whether a coding has codes for it
// or not.
func (p Plan) Map(s Signal) Signal {
	offset, luma, cb, cr := p.gains()
	return Signal{offset + float64(luma*s.Y), cb * s.CB, cr * s.CR}
}

// MapRow maps a row of one component in place; see [Plan.Map].
func (p Plan) MapRow(c Component, v []float64) {
	offset, gain := p.gain(c)
	for i := range v {
		v[i] = offset + float64(gain*v[i])
	}
}

// Emit returns what the wire carries of a file's signal, in units of the
// wanted family: the inverse of [Plan.Map].
func (p Plan) Emit(f Signal) Signal {
	offset, luma, cb, cr := p.gains()
	return Signal{(f.Y - offset) / luma, f.CB / cb, f.CR / cr}
}

// EmitRow is [Plan.Emit] for one component of a row, in place.
func (p Plan) EmitRow(c Component, v []float64) {
	offset, gain := p.gain(c)
	for i := range v {
		v[i] = (v[i] - offset) / gain
	}
}

// File returns what a file in coding k must hold for s. If k has no codes for
// it, f is the nearest that it has and the error is a *[ReachError].
func (p Plan) File(s Signal, k *Coding) (f Signal, err error) {
	f = p.Map(s)
	if k.Holds(f) {
		return f, nil
	}
	nearest := k.Signal(k.Codes(f))
	return nearest, &ReachError{Plan: p, Coding: k, Want: s, Nearest: p.Emit(nearest), Code: k.Real(f)}
}

// Check reports whether the two families can meet on one cable at all, for a
// picture of that many lines (525 or 625).
func (p Plan) Check(lines int) error {
	for _, f := range []*Family{p.Wire, p.Player} {
		if f != nil && f.Lines != 0 && f.Lines != lines {
			return fmt.Errorf("%s (%s) belongs to %d lines, the raster has %d; choose %s", f.Name, f.Title, f.Lines, lines, others(f.Interface, lines))
		}
	}
	if p.Wire != nil && p.Player != nil && p.Wire.Interface != p.Player.Interface {
		return fmt.Errorf("a player with %s levels (%s) cannot make %s (%s) levels; name the levels of the output in use on both sides", p.Player.Interface, p.Player.Name, p.Wire.Interface, p.Wire.Name)
	}
	return nil
}

// others lists the families of an interface that a system can carry.
func others(k Interface, lines int) (list string) {
	for _, f := range families {
		if f.Interface == k && (f.Lines == 0 || f.Lines == lines) {
			if list != "" {
				list += " or "
			}
			list += f.Name
		}
	}
	return list
}

// SyncError returns how far the player's sync, which no file can change, is
// from that of the wanted family: the player's minus the wanted.
func (p Plan) SyncError() Millivolt {
	if p.Plain() {
		return 0
	}
	return p.Player.Sync - p.Wire.Sync
}
