package crosscheck

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/composite"
	"backporch/internal/device"
	"backporch/internal/format"
)

// A profile names wires and files as the rest of the program does: every wire
// can be an output and has the levels of that wire, and every format can be
// named. They stand in tables of two packages that must not know each other.
func TestDeviceNames(t *testing.T) {
	file := func(lines int, output, format string) string {
		raster := map[int]string{525: "480i", 625: "576i"}[lines]
		return fmt.Sprintf("name = \"a\"\nsystem = %d\nrasters = [%q]\noutputs = [%q]\nformats = [%q]\n", lines, raster, output, format)
	}
	for _, w := range composite.Wires() {
		lines := 525
		if w.Family.Lines != 0 {
			lines = w.Family.Lines
		}
		p, err := device.ParseTOML([]byte(file(lines, w.Name, "png")), w.Name)
		require.NoError(t, err)
		assert.Same(t, w.Family, p.Outputs[0], w.Name)
		assert.Contains(t, device.OutputNames(), w.Name)
	}
	for _, name := range format.Names() {
		_, err := device.ParseTOML([]byte(file(525, "composite-m", name)), name)
		assert.NoError(t, err)
	}
	for _, p := range device.Builtin() {
		for _, name := range p.Formats {
			_, err := format.Resolve(format.Choice{Name: name})
			assert.NoError(t, err, p.Name)
		}
	}
}
