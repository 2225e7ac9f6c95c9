package job

// Tube is the kind of mask behind the screen.
type Tube string

// The tubes.
const (
	ShadowMask     Tube = "shadow-mask"
	ApertureGrille Tube = "aperture-grille"
	SlotMask       Tube = "slot-mask"
)

// Tubes lists the kinds.
func Tubes() []string {
	return []string{string(ShadowMask), string(ApertureGrille), string(SlotMask)}
}

// Guns is how the three guns stand.
type Guns string

// The arrangements.
const (
	InLine Guns = "in-line"
	Delta  Guns = "delta"
)

// GunsNames lists the arrangements.
func GunsNames() []string { return []string{string(InLine), string(Delta)} }

// Class is the class of tolerance, as EBU Tech 3320 v3 names them: grade 1 for
// judging pictures, grade 2 for working with them, grade 3 for looking at them.
type Class string

// The classes.
const (
	Grade1 Class = "grade-1"
	Grade2 Class = "grade-2"
	Grade3 Class = "grade-3"
)

// Classes lists the classes.
func Classes() []string { return []string{string(Grade1), string(Grade2), string(Grade3)} }

// Wires lists the kinds of inputs.
func Wires() []string { return []string{"composite", "yc", "component", "rgb"} }
