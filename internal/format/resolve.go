package format

import (
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/encode/bt656"
	"backporch/internal/pixfmt"
)

// A Choice is what is asked of a file. Zero fields take the format's default.
type Choice struct {
	Name    string // of the format
	Chroma  string // "411", "420", "420dv", "422" or "444"
	Depth   int    // bits of the widest component
	Range   string // "full" or "studio"
	Edition string // of BT.656: "current" or "legacy"
}

// ForPath returns the name of the format that a file's extension stands for.
// Case does not matter. The error names the way out.
func ForPath(file string) (name string, err error) {
	ext := strings.ToLower(path.Ext(strings.ReplaceAll(file, `\`, "/")))
	for _, r := range table {
		if slices.Contains(r.extensions, ext) {
			return r.name, nil
		}
	}
	if ext == "" || ext == "." {
		return "", fmt.Errorf("%s has no extension to tell the format by; add one, or name it with --format: %s", file, strings.Join(Names(), " "))
	}
	return "", fmt.Errorf("%s: extension %s is of no known format; name it with --format: %s", file, ext, strings.Join(Names(), " "))
}

// Resolve returns the format of a choice. It refuses what the format cannot
// be, naming what it can and which formats can be the other.
func Resolve(c Choice) (*Format, error) {
	i := slices.IndexFunc(table, func(r row) bool { return strings.EqualFold(r.name, c.Name) })
	if i < 0 {
		return nil, fmt.Errorf("unknown format %q; use one of: %s", c.Name, strings.Join(Names(), " "))
	}
	r := &table[i]
	chroma, err := choose(r, "chroma", c.Chroma, func(r *row) []string { return r.chromas })
	if err != nil {
		return nil, err
	}
	depth := ""
	if c.Depth != 0 {
		depth = strconv.Itoa(c.Depth)
	}
	depth, err = choose(r, "depth", depth, func(r *row) (s []string) {
		for _, d := range r.depths {
			s = append(s, strconv.Itoa(d))
		}
		return s
	})
	if err != nil {
		return nil, err
	}
	if samplingOfDV(chroma) && depth != "8" {
		return nil, fmt.Errorf("format %s cannot have depth %s with chroma %s, which is that of DV and has 8 bits; leave the depth out, or choose chroma 422 or 420", r.name, depth, chroma)
	}
	rng, err := choose(r, "range", c.Range, func(r *row) []string { return r.ranges })
	if err != nil {
		return nil, err
	}
	edition, err := choose(r, "edition", c.Edition, func(r *row) []string { return r.editions })
	if err != nil {
		return nil, err
	}
	bits, err := strconv.Atoi(depth)
	if err != nil {
		return nil, err
	}
	f := &Format{Name: r.name, Extension: r.extensions[0], Stream: r.kind != still,
		Chroma: chroma, Range: rng, Edition: edition, kind: r.kind}
	f.Coding = coding(r.rgb, bits, rng)
	switch r.kind {
	case raw:
		f.layout = pixfmt.Lookup(r.name)
	case video:
		m := samplings[chroma]
		across, down := m.Step()
		f.layout = pixfmt.Planar(bits, across, down)
	case digital:
		e, err := bt656.ParseEdition(edition)
		if err != nil {
			return nil, err
		}
		f.stream = bt656.NewEncoder(f.Coding, e)
	}
	f.Title = f.title(r)
	return f, nil
}

// choose returns the wanted value, or the default, of one list of a format.
func choose(r *row, what, want string, list func(*row) []string) (string, error) {
	can := list(r)
	if want == "" {
		if len(can) == 0 {
			return "", nil
		}
		return can[0], nil
	}
	for _, v := range can {
		if strings.EqualFold(v, want) {
			return v, nil
		}
	}
	var others []string
	for i := range table {
		if slices.Contains(list(&table[i]), want) {
			others = append(others, table[i].name)
		}
	}
	offer := "; it can have " + strings.Join(can, " or ")
	if len(can) == 0 {
		offer = "; leave it out"
	}
	if len(others) > 0 {
		return "", fmt.Errorf("format %s cannot have %s %s%s (%s %s: %s)", r.name, what, want, offer, what, want, strings.Join(others, " "))
	}
	return "", fmt.Errorf("format %s cannot have %s %s%s", r.name, what, want, offer)
}

// samplingOfDV reports whether chroma lies as in DV, a format of 8 bits alone.
func samplingOfDV(chroma string) bool { return chroma == "411" || chroma == "420dv" }

// coding returns the coding of a format. All combinations of the table have
// one.
func coding(rgb bool, bits int, rng string) *colorimetry.Coding {
	type key struct {
		rgb  bool
		bits int
		rng  string
	}
	return map[key]*colorimetry.Coding{
		{false, 8, studio}:  colorimetry.YCbCr8,
		{false, 10, studio}: colorimetry.YCbCr10,
		{true, 8, full}:     colorimetry.RGB8,
		{true, 16, full}:    colorimetry.RGB16,
		{true, 8, studio}:   colorimetry.RGB8Studio,
		{true, 16, studio}:  colorimetry.RGB16Studio,
		{true, 6, full}:     colorimetry.RGB565,
		{true, 5, full}:     colorimetry.RGB555,
	}[key{rgb, bits, rng}]
}

// title describes a format with its choices.
func (f *Format) title(r *row) string {
	chroma := samplings[f.Chroma].String()
	switch {
	case f.layout != nil && r.kind == raw && r.rgb && len(r.ranges) == 1:
		return fmt.Sprintf("%s: %s", r.title, f.layout.Title)
	case f.layout != nil && r.kind == raw && r.rgb:
		return fmt.Sprintf("%s: %s, %s range", r.title, f.layout.Title, f.Range)
	case f.layout != nil && r.kind == raw && f.Chroma == "420dv":
		return fmt.Sprintf("%s: %s, chroma where DV has it", r.title, f.layout.Title)
	case f.layout != nil && r.kind == raw:
		return fmt.Sprintf("%s: %s", r.title, f.layout.Title)
	case r.rgb:
		return fmt.Sprintf("%s, %d-bit %s-range RGB", r.title, f.Coding.Bits, f.Range)
	case r.kind == digital:
		return fmt.Sprintf("%s, %d-bit, V bit of the %s edition", r.title, f.Coding.Bits, f.Edition)
	default:
		return fmt.Sprintf("%s, %s %d-bit", r.title, chroma, f.Coding.Bits)
	}
}
