package crosscheck

import (
	"bytes"
	"image/png"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"backporch/colorimetry"
	"backporch/internal/format"
	"backporch/internal/goldentest"
	"backporch/pattern"
	"backporch/timing"

	"github.com/stretchr/testify/require"
)

// goldenSpecs are the catalogue at its defaults and every picture of a kit.
func goldenSpecs(t *testing.T) []string {
	t.Helper()
	if testing.Short() {
		return specs()
	}
	all := kitSpecs(t)
	for _, e := range pattern.All() {
		if !slices.Contains(all, e.Name) {
			all = append(all, e.Name)
		}
	}
	return all
}

// goldenShots are the specs on every raster with plain codes, and on 525-line
// rasters with 7.5 IRE of setup in the file, by key.
func goldenShots(t *testing.T) map[string]shot {
	t.Helper()
	setup := colorimetry.Plan{Wire: colorimetry.CompositeM, Player: colorimetry.CompositeJ}
	shots := map[string]shot{}
	for _, s := range goldenSpecs(t) {
		for _, r := range rastersOf(s) {
			q := shot{spec: s, raster: r, choice: format.Choice{Name: "yuv422p10"}}
			shots[s+" / "+r.Name+" / plain"] = q
			if r.Scan.System == timing.System525 {
				q.plan = setup
				shots[s+" / "+r.Name+" / setup 7.5"] = q
			}
		}
	}
	return shots
}

// TestGoldenFrames compares the hashes of 10-bit 4:2:2 codes, planes Y CB CR in
// 16-bit little-endian words, with those kept. Codes must be the same on every
// machine: a difference between two of them shows here.
func TestGoldenFrames(t *testing.T) {
	shots := goldenShots(t)
	require.Less(t, len(shots), 1000, "lines of the file")
	sums := map[string]goldentest.Hash{}
	var mu sync.Mutex
	var wg sync.WaitGroup
	slots := make(chan struct{}, 2)
	for key, q := range shots {
		slots <- struct{}{}
		wg.Go(func() {
			defer func() { <-slots }()
			h, err := q.hash()
			mu.Lock()
			defer mu.Unlock()
			if err != nil {
				t.Errorf("%s: %v", key, err)
			}
			sums[key] = h
		})
	}
	wg.Wait()
	if testing.Short() {
		goldentest.SomeSums(t, "frames.sha256", sums)
		return
	}
	goldentest.Sums(t, "frames.sha256", sums)
}

// TestGoldenPictures compares one picture of every pattern of a kit, as PNG on
// 480i, with those kept for the eye; and of two, whose rows lie otherwise, on
// 240p.
func TestGoldenPictures(t *testing.T) {
	list := specs()
	if !testing.Short() {
		list = kitSpecs(t)
	}
	for _, spec := range list {
		goldenPicture(t, spec, "480i", fileName(spec)+".png")
	}
	for _, spec := range []string{"crosshatch", "circles"} {
		goldenPicture(t, spec, "240p", fileName(spec)+"-240p.png")
	}
}

func goldenPicture(t *testing.T, spec, raster, name string) {
	t.Helper()
	b := shot{spec: spec, raster: timing.Lookup(raster), choice: format.Choice{Name: "png"}}.bytes(t)
	m, err := png.Decode(bytes.NewReader(b))
	require.NoError(t, err)
	goldentest.PNG(t, name, m)
}

// fileName is a spelling as a file name: the pattern and the values of its
// options.
func fileName(spec string) string {
	values := regexp.MustCompile(`\S+=`).ReplaceAllString(spec, "")
	return strings.NewReplacer(" ", "-", "/", "-").Replace(values)
}
