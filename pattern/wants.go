package pattern

// A SetupPattern is a pattern whose options can name the setup on the wire,
// such as bars spelled 75/7.5/75/7.5.
type SetupPattern interface {
	Pattern
	WantsSetup() bool
}

// WantsSetup implements SetupPattern.
func (p *BarsFull) WantsSetup() bool {
	s, err := ParseBarSet(p.Set)
	return err == nil && s.Setup
}
