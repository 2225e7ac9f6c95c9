package cli

import (
	"fmt"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/device"
	"backporch/internal/format"
	"backporch/internal/typo"
	"backporch/pattern"
	"backporch/timing"
)

// readDevice returns the profile that --device names: a built-in one, or a file.
func readDevice(name string) (*device.Profile, error) {
	if !isFile(name) {
		return device.Parse(name)
	}
	text, err := readSmall(name)
	if err != nil {
		return nil, err
	}
	return device.ParseTOML(text, name)
}

// isFile reports whether --device names a file, and not a built-in device.
func isFile(name string) bool {
	return strings.ContainsAny(name, `/\`) || strings.HasSuffix(strings.ToLower(name), ".toml")
}

// device is what --device names, read once: the same profile, with the same
// rasters, for all that the command makes. It is nil where none is named.
func (p *pictureFlags) device() (dev *device.Profile, err error) {
	if p.profile == nil && p.Device != "" {
		p.profile, err = readDevice(p.Device)
	}
	return p.profile, err
}

// lattice reads --device and --raster. dev is nil where no device is named.
func (p *pictureFlags) lattice() (dev *device.Profile, r *timing.Raster, err error) {
	if dev, err = p.device(); err != nil {
		return nil, nil, err
	}
	if dev != nil {
		r, err = dev.Raster(p.Raster)
		return dev, r, err
	}
	name := p.Raster
	if name == "" {
		name = usualRaster
	}
	if r = timing.Lookup(name); r == nil {
		return nil, nil, fmt.Errorf("unknown raster %q%s; use %s", name, typo.Suggest(name, rasterNames()), strings.Join(rasterNames(), ", "))
	}
	return nil, r, nil
}

// usualRaster is that of --raster left out.
const usualRaster = "480i"

// devicePlan reads the flags that speak of levels where a device is named: it
// is the player. What is wanted on the wire decides which of its outputs.
func (p *pictureFlags) devicePlan(dev *device.Profile, r *timing.Raster, pt pattern.Pattern) (plan colorimetry.Plan, err error) {
	if p.Player != "" || p.PlayerSetup != "" {
		flag := "--player"
		if p.Player == "" {
			flag = "--player-setup"
		}
		return plan, fmt.Errorf("--device %s says which levels its outputs have; leave %s out", dev.Name, flag)
	}
	want, err := p.plan(r, pt, false)
	if err != nil {
		return plan, err
	}
	if want.Wire == nil {
		return colorimetry.Plan{Wire: dev.Outputs[0], Player: dev.Outputs[0]}, nil
	}
	if want.Player, err = dev.Player(want.Wire.Interface); err != nil {
		return plan, err
	}
	return want, want.Check(r.Scan.System.Lines())
}

// deviceFormat is the file that stands for a device on a wire: the first that
// it reads and that we write.
func deviceFormat(dev *device.Profile) (*format.Format, error) {
	for _, name := range dev.Formats {
		if f, err := format.Resolve(format.Choice{Name: name}); err == nil {
			return f, nil
		}
	}
	return nil, fmt.Errorf("device %s reads no format that can be laid out: %s", dev.Name, strings.Join(dev.Formats, ", "))
}
