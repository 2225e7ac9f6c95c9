package crosscheck

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"backporch/internal/format"
	"backporch/internal/goldentest"
	"backporch/internal/kit"
	"backporch/timing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A kitFolder is a kit as its kit.json describes it.
type kitFolder struct {
	dir      string
	Pictures []struct {
		Number  int
		Pattern string
	}
	Files []struct {
		Name    string
		Picture int
		Chroma  string
		Frames  int
		SHA256  string
	}
}

const kitProgram = "backporch test"

func makeKit(dir, raster string) (*kitFolder, error) {
	q := kit.Request{Dir: filepath.Join(dir, "kit"), Variants: []kit.Variant{{Raster: timing.Lookup(raster), Frames: 1}}, Aspect: timing.R(4, 3), Program: kitProgram}
	if _, err := kit.Make(context.Background(), q); err != nil {
		return nil, err
	}
	text, err := os.ReadFile(filepath.Join(q.Dir, "kit.json"))
	if err != nil {
		return nil, err
	}
	k := &kitFolder{dir: q.Dir}
	return k, json.Unmarshal(text, k)
}

// kitPatterns asks a kit once which patterns it holds.
var kitPatterns = sync.OnceValues(func() ([]string, error) {
	dir, err := os.MkdirTemp("", "kit")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	k, err := makeKit(dir, "288p")
	if err != nil {
		return nil, err
	}
	var specs []string
	for _, p := range k.Pictures {
		specs = append(specs, p.Pattern)
	}
	return specs, nil
})

// kitSpecs returns the spelling of every picture of a kit.
func kitSpecs(t testing.TB) []string {
	t.Helper()
	specs, err := kitPatterns()
	require.NoError(t, err)
	require.NotEmpty(t, specs)
	return specs
}

// TestKitIsRendered: the files of a kit are what rendering the same patterns
// one by one gives, byte for byte, and the sums in kit.json are theirs.
func TestKitIsRendered(t *testing.T) {
	names := []string{"288p", "480i"}
	if testing.Short() {
		names = names[:1]
	}
	for _, raster := range names {
		k, err := makeKit(t.TempDir(), raster)
		require.NoError(t, err)
		spec := map[int]string{}
		for _, p := range k.Pictures {
			spec[p.Number] = p.Pattern
		}
		compared := 0
		for _, f := range k.Files {
			stored, err := os.ReadFile(filepath.Join(k.dir, f.Name))
			require.NoError(t, err)
			assert.Equal(t, string(goldentest.HashOf(stored)), f.SHA256, f.Name)
			if f.Picture == 0 {
				continue // the page and the contact sheet
			}
			name, err := format.ForPath(f.Name)
			require.NoError(t, err)
			q := shot{
				spec: spec[f.Picture], raster: timing.Lookup(raster), choice: format.Choice{Name: name, Chroma: f.Chroma},
				tags: [][2]string{{"Software", kitProgram}},
			}
			job := q.job(t)
			job.Frames = f.Frames
			assert.Equal(t, goldentest.HashOf(file(t, job)), goldentest.HashOf(stored), f.Name)
			compared++
		}
		assert.Equal(t, 2*len(k.Pictures), compared, "a picture and a video of each pattern")
	}
}
