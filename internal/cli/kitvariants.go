package cli

import (
	"fmt"
	"strings"

	"backporch/internal/kit"
	"backporch/internal/typo"
	"backporch/timing"
)

// list splits a list at its commas.
func list(s string) (parts []string) {
	for _, p := range strings.Split(s, ",") {
		if p = strings.TrimSpace(p); p != "" {
			parts = append(parts, p)
		}
	}
	return parts
}

// patterns splits what --patterns was given: a spelling with options stands
// alone, since its values may have commas.
func (o *kitOptions) patterns() (words []string) {
	for _, s := range o.Patterns {
		if strings.ContainsRune(s, '=') || strings.Contains(strings.TrimSpace(s), " ") && !strings.Contains(s, ",") {
			words = append(words, strings.TrimSpace(s))
			continue
		}
		for _, w := range list(s) {
			if !strings.EqualFold(w, "all") {
				words = append(words, w)
				continue
			}
			return nil
		}
	}
	return words
}

// variants fills in the device, the variants and what they share. A setup that
// a raster cannot have is skipped, unless it is the only thing asked for.
func (o *kitOptions) variants(q *kit.Request) (skipped []string, err error) {
	rasters, err := o.rasters()
	if err != nil {
		return nil, &usageError{err: err}
	}
	if q.Device, err = o.device(); err != nil {
		return nil, &usageError{err: err}
	}
	setups := []string{o.Setup}
	if o.Setups != "" {
		if setups = list(o.Setups); len(setups) == 0 {
			return nil, usagef("--setups names none; use as-player, 0, 7.5")
		}
	}
	for _, name := range rasters {
		for _, setup := range setups {
			p := o.pictureFlags
			p.Raster, p.Setup = name, setup
			if r := timing.Lookup(name); r != nil && r.Scan.System == timing.System625 && setup == "7.5" && len(rasters)*len(setups) > 1 {
				skipped = append(skipped, fmt.Sprintf("setup 7.5 on %s: it belongs to 525 lines", r.Name))
				continue
			}
			v, err := p.resolve(nil)
			if err != nil {
				return nil, err
			}
			frames := 1
			if o.Seconds != "" {
				if frames, err = seconds(o.Seconds, v.Raster); err != nil {
					return nil, err
				}
			}
			q.Dither, q.Edges, q.Aspect, q.Single = v.Dither, v.Edges, v.Aspect, v.Single
			q.Variants = append(q.Variants, kit.Variant{Raster: v.Raster, Plan: v.Plan, Setup: setup, Frames: frames})
		}
	}
	if len(q.Variants) == 0 {
		return nil, usagef("nothing is left: %s", strings.Join(skipped, "; "))
	}
	return skipped, nil
}

// rasters are the names that are asked for; "" is the usual one.
func (o *kitOptions) rasters() ([]string, error) {
	if o.Rasters == "" {
		return []string{o.Raster}, nil
	}
	if !strings.EqualFold(strings.TrimSpace(o.Rasters), "all") {
		names := list(o.Rasters)
		if len(names) == 0 {
			return nil, fmt.Errorf("--rasters names none; use %s or all", strings.Join(rasterNames(), ", "))
		}
		for _, n := range names {
			if timing.Lookup(n) == nil && o.Device == "" {
				return nil, fmt.Errorf("--rasters: unknown raster %q%s; use all, or some of %s", n, typo.Suggest(n, rasterNames()), strings.Join(rasterNames(), ", "))
			}
		}
		return names, nil
	}
	d, err := o.device()
	if err != nil {
		return nil, err
	}
	if d == nil {
		return rasterNames(), nil
	}
	return namesOf(d.Rasters), nil
}
