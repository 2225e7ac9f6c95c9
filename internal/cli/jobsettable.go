package cli

import (
	"fmt"
	"strings"

	"backporch/internal/job"
	"backporch/internal/table"
)

// setFields are what is known of a set.
func setFields(s *job.Set) []table.Field {
	var size, luminance, device, player, remarks any
	if s.DiagonalMM > 0 {
		size = s.DiagonalMM
	}
	if s.Luminance > 0 {
		luminance = s.Luminance
	}
	if s.Device != "" {
		device = s.Device
	}
	if s.Player != "" {
		player = s.Player
	}
	if s.Remarks != "" {
		remarks = s.Remarks
	}
	return []table.Field{
		{Name: "Set", Value: s.Label},
		{Name: "Tube", Value: string(s.Tube)},
		{Name: "Guns", Value: string(s.Guns)},
		{Name: "Diagonal", Unit: "mm", Decimals: table.Shortest, Value: size},
		{Name: "Aspect", Value: s.Aspect},
		{Name: "Inputs", Value: inputNames(s.Inputs)},
		{Name: "Raster", Value: s.Raster},
		{Name: "Device", Value: device},
		{Name: "Setup", Value: s.Setup},
		{Name: "Player setup", Value: player},
		{Name: "White", Value: s.White},
		{Name: "Primaries", Value: s.Primaries},
		{Name: "White luminance", Unit: "cd/m2", Decimals: table.Shortest, Value: luminance},
		{Name: "Class", Value: string(s.Class)},
		{Name: "Chassis may be live", Key: "live_chassis", Value: s.Hot},
		{Name: "Remarks", Value: remarks},
	}
}

// inputNames spells inputs as --inputs takes them.
func inputNames(list []job.Input) (names []string) {
	for _, in := range list {
		if in.Name == in.Wire {
			names = append(names, in.Wire)
		} else {
			names = append(names, in.Name+"="+in.Wire)
		}
	}
	return names
}

// fieldText is a fact as a word.
func fieldText(f table.Field) string {
	switch v := f.Value.(type) {
	case nil:
		return "-"
	case []string:
		return strings.Join(v, ", ")
	case bool:
		return yesNo(v)
	case float64:
		return fmt.Sprintf("%g %s", v, f.Unit)
	}
	return fmt.Sprint(f.Value)
}
