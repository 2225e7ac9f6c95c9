package device

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/typo"
	"backporch/timing"
)

// A change is what a spelling can change of a built-in device.
type change struct {
	name, values string
	set          func(p *Profile, value string) error
	of           func(p *Profile) bool // whether a device has it at all
}

func anyDevice(*Profile) bool       { return true }
func pixelDevice(p *Profile) bool   { return p.Color.Bits != [3]int{} }
func countedDevice(p *Profile) bool { return p.Pixels() }
func videoDevice(p *Profile) bool   { return !p.Pixels() }
func ownRaster(p *Profile) bool     { return p.Clocks != nil }

// changes are in the order in which [Parse] makes them.
var changes = []change{
	{"bits", "three digits, those of red, green and blue, as 333, 444, 555, 565 or 888", changeBits, pixelDevice},
	{"colors", "2 or more, how many a picture can have at once", changeColors, countedDevice},
	{"setup", "0 or 7.5, IRE that the encoder of its composite output adds", changeSetup, anyDevice},
	{"rows", "visible rows of a field, in the middle of the analog picture", changeRows, ownRaster},
	{"matrix", "601 or 709, by which it makes Y'CbCr of R'G'B' pictures", changeMatrix, videoDevice},
	{"sub-black", "true or false, whether codes below black and above white reach the output", changeSubBlack, videoDevice},
	{"output", "the one in use, a name such as composite-m, yc-j, component-n10 or rgb-700", changeOutput, anyDevice},
}

// Parse reads the spelling of a built-in device: its name, then changes, as in
// "pixel-320 bits=444 colors=16 setup=7.5". Errors suggest near names.
func Parse(spec string) (*Profile, error) {
	fields := strings.Fields(spec)
	if len(fields) == 0 {
		return nil, fmt.Errorf("no device named; `backporch list devices` names them all")
	}
	p, err := Find(fields[0])
	if err != nil {
		return nil, err
	}
	values := make(map[string]string)
	for _, f := range fields[1:] {
		name, value, ok := strings.Cut(f, "=")
		c := p.change(name)
		if c == nil {
			return nil, p.noChange(name)
		}
		if !ok || value == "" {
			return nil, fmt.Errorf("device %s: %s needs a value: %s", p.Name, name, c.values)
		}
		if _, twice := values[name]; twice {
			return nil, fmt.Errorf("device %s: %s twice", p.Name, name)
		}
		values[name] = value
	}
	name, spelling := p.Name, []string{p.Name}
	for _, c := range changes {
		value, ok := values[c.name]
		if !ok {
			continue
		}
		if err := c.set(p, value); err != nil {
			return nil, fmt.Errorf("device %s: %s: %w", name, c.name, err)
		}
		spelling = append(spelling, c.name+"="+value)
	}
	if err := p.Check(); err != nil {
		return nil, fmt.Errorf("device %s: %w", name, err)
	}
	if len(values) > 0 {
		p.Name = strings.Join(spelling, " ")
		p.retitle()
	}
	return p, nil
}

// change returns what name can change of the device, or nil.
func (p *Profile) change(name string) *change {
	for i, c := range changes {
		if c.name == name && c.of(p) {
			return &changes[i]
		}
	}
	return nil
}

func (p *Profile) noChange(name string) error {
	names := p.changeNames()
	if slices.ContainsFunc(changes, func(c change) bool { return c.name == name }) {
		return fmt.Errorf("device %s (%s) has no %s to change; it has %s", p.Name, p.Title, name, strings.Join(names, ", "))
	}
	return fmt.Errorf("device %s has no %q to change%s; it has %s", p.Name, name, typo.Suggest(name, names), strings.Join(names, ", "))
}

// A Change is what a spelling can change of a device, and the values it takes.
type Change struct{ Name, Values string }

// Changes lists what can be changed of the device.
func (p *Profile) Changes() (list []Change) {
	for _, c := range changes {
		if c.of(p) {
			list = append(list, Change{c.name, c.values})
		}
	}
	return list
}

func (p *Profile) changeNames() (names []string) {
	for _, c := range p.Changes() {
		names = append(names, c.Name)
	}
	return names
}

func changeBits(p *Profile, value string) error {
	digits := strings.ReplaceAll(value, ":", "")
	if len(digits) != 3 || strings.Trim(digits, "12345678") != "" {
		return fmt.Errorf("%q is not three digits from 1 to 8, as in 565", value)
	}
	before := p.Color.Colors()
	for i := range p.Color.Bits {
		p.Color.Bits[i] = int(digits[i] - '0')
	}
	if all := p.Color.Colors(); p.Color.AtOnce >= min(all, before) {
		p.Color.AtOnce = 0 // as many as there are
	}
	p.remember()
	return nil
}

func changeColors(p *Profile, value string) error {
	n, err := strconv.Atoi(value)
	if err != nil || n < 2 {
		return fmt.Errorf("%q is not a whole number of 2 or more", value)
	}
	p.Color.AtOnce = n
	p.remember()
	return nil
}

func changeSetup(p *Profile, value string) error {
	setup, err := strconv.ParseFloat(value, 64)
	if err != nil {
		return fmt.Errorf("%q is neither 0 nor 7.5", value)
	}
	if err := checkSetup(p.System, setup); err != nil {
		return err
	}
	want := colorimetry.CompositeJ
	if setup > 0 {
		want = colorimetry.CompositeM
	}
	if p.System == timing.System625 {
		return nil // it has none, and can have no other
	}
	var list []*colorimetry.Family
	done := false
	for _, f := range p.Outputs {
		if f.Interface == colorimetry.Composite {
			if done {
				continue
			}
			f, done = want, true
		}
		list = append(list, f)
	}
	if !done {
		return fmt.Errorf("the device has no composite output")
	}
	p.Outputs = list
	return nil
}

func changeRows(p *Profile, value string) error {
	rows, err := strconv.Atoi(value)
	if err != nil || rows < 1 {
		return fmt.Errorf("%q is not a whole number of 1 or more", value)
	}
	for i, r := range p.Rasters {
		v := p.picture(r)
		v.Rows = rows
		// The middle of the analog picture, less half of the rows: the line whose
		// own middle is half a line further down.
		first := p.System.Middle.Sub(timing.R(int64(rows-1), 2))
		v.First = int(first.Sub(timing.R(1, 2)).Ceil())
		n, err := p.Clocks.checkRaster(r.Name, p.System, v)
		var k *keyError
		if errors.As(err, &k) {
			return k.err
		}
		if err != nil {
			return err
		}
		p.Rasters[i] = n
	}
	return nil
}

// picture is the inverse of [Clocks.Raster].
func (p *Profile) picture(r *timing.Raster) Picture {
	rows, _ := r.FieldRows()
	first, _ := r.FieldLines(1)
	return Picture{Width: r.Width, Rows: rows, First: first, Begins: r.Start.Sub(timing.R(1, 2)), Fields: r.Scan.Fields, Lines: r.Scan.Lines}
}

func changeMatrix(p *Profile, value string) error {
	for m, name := range matrixNames {
		if name == value {
			p.Matrix = Matrix(m)
			return nil
		}
	}
	return fmt.Errorf("%q is neither 601 nor 709", value)
}

func changeSubBlack(p *Profile, value string) error {
	b, err := strconv.ParseBool(value)
	if err != nil {
		return fmt.Errorf("%q is neither true nor false", value)
	}
	p.SubBlack = b
	return nil
}

// changeOutput puts an output first. Its levels must be among those that the
// device has.
func changeOutput(p *Profile, value string) error {
	setup := -1.0
	for _, f := range p.Outputs {
		if f.Interface == colorimetry.Composite && setup < 0 {
			setup = tidyIRE(f)
		}
	}
	if !strings.HasPrefix(value, "composite") && !strings.HasPrefix(value, "yc") || strings.Contains(value, "-") {
		setup = -1 // what the name says counts
	}
	f, err := outputFamily(value, p.System, setup)
	if err != nil {
		return err
	}
	list := []*colorimetry.Family{f}
	had := false
	var names []string
	for _, o := range p.Outputs {
		names = append(names, o.Name)
		if o == f {
			had = true
			continue
		}
		list = append(list, o)
	}
	if !had {
		return fmt.Errorf("the device has no output %s; it has %s", value, strings.Join(names, ", "))
	}
	p.Outputs = list
	return nil
}

// retitle says in the title what was changed.
func (p *Profile) retitle() {
	changed := strings.TrimPrefix(p.Name, strings.Fields(p.Name)[0]+" ")
	if p.Clocks != nil {
		p.Title = p.pixelTitle()
	}
	p.Title += "; changed: " + changed
	p.Source += "; changes: as given"
}
