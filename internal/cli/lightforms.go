package cli

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/meter"
)

// A lightForm is how three figures spell a color with its light.
type lightForm string

func lightForms() []string { return []string{"xyY", "XYZ", "Yuv"} }

func parseLightForm(text string) (lightForm, error) {
	for _, f := range lightForms() {
		if strings.EqualFold(f, text) {
			return lightForm(f), nil
		}
	}
	return "", fmt.Errorf("%q is none of %s", text, strings.Join(lightForms(), ", "))
}

func parseLight(form lightForm, text string) (c colorimetry.XYZ, err error) {
	words := strings.Fields(text)
	if len(words) != 3 {
		return c, fmt.Errorf("%q is not three figures", text)
	}
	var v [3]float64
	for i, w := range words {
		if v[i], err = strconv.ParseFloat(w, 64); err != nil || !(v[i] >= 0 && v[i] < 1e6) {
			return c, fmt.Errorf("%q is no figure of light", w)
		}
	}
	switch form {
	case "XYZ":
		return colorimetry.XYZ{X: v[0], Y: v[1], Z: v[2]}, nil
	case "Yuv":
		return colorimetry.UV{U: v[1], V: v[2]}.XY1976().At(v[0]), nil
	}
	return colorimetry.XY{X: v[0], Y: v[1]}.At(v[2]), nil
}

func readLightTable(io.Reader, map[string]string) ([]meter.Sample, error) {
	return nil, errors.New("tables of readings are not read yet")
}
