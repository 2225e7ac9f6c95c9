package render

import (
	"fmt"
	"slices"
	"strings"

	"backporch/internal/device"
	"backporch/internal/encode/devicedata"
)

// Forms of data for a program on a device, as --format names them.
const (
	Framebuffer = device.FormatFramebuffer
	Tiles       = device.FormatTiles
)

// checkData reports whether the device can have the data that is asked for.
func (q *Request) checkData() error {
	d := q.Device
	switch {
	case d == nil || !d.Pixels():
		return fmt.Errorf("%s is data for a program on a device with colors of its own; name one with --device", q.Data)
	case q.Data == Framebuffer && d.Framebuffer == nil:
		return fmt.Errorf("the profile of device %s does not say how a framebuffer is laid out; add a [framebuffer] table to a profile of your own", d.Name)
	case q.Data == Tiles && d.Tiles == nil:
		return fmt.Errorf("the profile of device %s does not say how tiles are laid out; add a [tiles] table to a profile of your own, or use --format framebuffer", d.Name)
	}
	return nil
}

// Files returns the picture as memory images and source for a program on the device;
// base names the files.
func (j *Job) Files(base string) (*devicedata.Set, error) {
	x, err := j.Indexed(j.First)
	if err != nil {
		return nil, err
	}
	about := devicedata.About{Base: base, Short: j.Device.ShortNames, Pattern: j.Spec, Raster: j.Raster.Name, Device: j.Device.Name}
	if l := j.Lost.Clipped(false); len(l) > 0 {
		about.Lines = append(about.Lines, "Absent: "+l.Names()+".")
	}
	if j.Data == Tiles {
		return devicedata.Tiles(x, j.Device.Tiles, about)
	}
	return devicedata.Framebuffer(x, j.Device.Framebuffer, about)
}

// readable reports whether the device reads the format of the request.
func (q *Request) readable() error {
	d, name := q.Device, q.Format.Name
	if q.Data != "" {
		return q.checkData()
	}
	if !slices.Contains(d.Formats, name) {
		return fmt.Errorf("device %s does not read %s; it reads %s", d.Name, name, strings.Join(d.Formats, ", "))
	}
	return nil
}
