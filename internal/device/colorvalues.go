package device

import (
	"fmt"
	"strconv"
)

func setBits(d *draft, v any) error {
	l, ok := v.([]any)
	if !ok {
		l = []any{v, v, v}
	}
	if len(l) != 3 {
		return fmt.Errorf("a list of %d; it is bits of red, green and blue", len(l))
	}
	for i, v := range l {
		n, err := asWhole(v, 1, 8)
		if err != nil {
			return err
		}
		d.p.Color.Bits[i] = n
	}
	return nil
}

func setLevels(d *draft, v any) error {
	l, err := asList(v, "a list of per cents")
	if err != nil {
		return err
	}
	if _, nested := l[0].([]any); !nested {
		l = []any{v, v, v}
	}
	if len(l) != 3 {
		return fmt.Errorf("%d lists of levels; use one for all channels, or three", len(l))
	}
	for i, v := range l {
		per, err := numberList(v)
		if err != nil {
			return err
		}
		for k := range per {
			per[k] /= 100
		}
		d.p.Color.Levels[i] = per
	}
	return nil
}

func numberList(v any) ([]float64, error) {
	l, err := asList(v, "a list of numbers")
	if err != nil {
		return nil, err
	}
	list := make([]float64, len(l))
	for i, v := range l {
		if list[i], err = asNumber(v); err != nil {
			return nil, err
		}
	}
	return list, nil
}

func setPalette(d *draft, v any) error {
	l, err := asList(v, `a list of colors such as ["#000000", "#ffffff"]`)
	if err != nil {
		return err
	}
	d.inks = nil
	for i, v := range l {
		s, _ := v.(string)
		if len(s) != len("#rrggbb") || s[0] != '#' {
			return fmt.Errorf("color %d is %s; write #rrggbb, six hexadecimal digits such as \"#ff8000\"", i, describe(v))
		}
		n, err := strconv.ParseUint(s[1:], 16, 24)
		if err != nil {
			return fmt.Errorf("color %d is %s; write #rrggbb, six hexadecimal digits such as \"#ff8000\"", i, describe(v))
		}
		d.inks = append(d.inks, InkOfRGB([3]uint8{uint8(n >> 16), uint8(n >> 8), uint8(n)}))
	}
	return nil
}

func setPaletteWire(d *draft, v any) error {
	l, err := asList(v, "a list such as [[0, 0, 0], [50, 40, 103.5]]")
	if err != nil {
		return err
	}
	d.wireInks = nil
	for i, v := range l {
		n, err := numberList(v)
		if err != nil {
			return fmt.Errorf("color %d: %w", i, err)
		}
		if len(n) != 3 {
			return fmt.Errorf("color %d has %d numbers; write luma, chroma and degrees", i, len(n))
		}
		if n[0] < -50 || n[0] > 150 || n[1] < 0 || n[1] > 300 {
			return fmt.Errorf("color %d: luma of %g %% and chroma of %g %%; luma is -50 to 150, chroma 0 to 300", i, n[0], n[1])
		}
		d.wireInks = append(d.wireInks, [3]float64{n[0], n[1], n[2]})
	}
	return nil
}
