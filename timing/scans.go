package timing

// The non-interlaced 625-line scans with the subcarrier of the interlaced one,
// 1135/4 + 1/625 cycles a line (ITU-R BT.1700 Annex 1 Part B table 2): the line
// is then 64 us exactly, and 25 Hz of the subcarrier are an offset that takes
// 625 frames to come round. No raster is laid on them; a signal may be.
var (
	Scan312offset = &Scan{"625p/312, 25 Hz offset", System625, 312, 1, R(709_379, 2500)}
	Scan313offset = &Scan{"625p/313, 25 Hz offset", System625, 313, 1, R(709_379, 2500)}
)

// Offset25Hz returns s with the 25 Hz offset of the subcarrier, or nil for a
// scan that has it already or cannot have it.
func (s *Scan) Offset25Hz() *Scan {
	switch s {
	case Scan312:
		return Scan312offset
	case Scan313:
		return Scan313offset
	}
	return nil
}

// LookupScan returns the scan of that name, or nil.
func LookupScan(name string) *Scan {
	for _, s := range []*Scan{Scan525i, Scan262, Scan263, Scan262c228, Scan262c227_33,
		Scan625i, Scan312, Scan313, Scan312offset, Scan313offset} {
		if s.Name == name {
			return s
		}
	}
	return nil
}
