package kit

// A Choice is one pattern of a kit, for whoever makes other files of them.
type Choice struct {
	Number int    // in the order of work, from 1
	Spec   string // spelling
	Slug   string // name of files, without an extension: "07-bars-eg1"
	Step   string // of the work
	Do     string // what to do in that step
}

// Choices returns the patterns that a kit holds when these are asked for, in the
// order of work; see Request.Patterns.
func Choices(asked []string) ([]Choice, error) {
	items, err := itemsOf(asked, false)
	if err != nil {
		return nil, err
	}
	list := make([]Choice, len(items))
	for i, it := range items {
		s := steps[it.Step]
		list[i] = Choice{it.Number, it.Spec, it.Slug, s.Title, s.Do}
	}
	return list, nil
}
