package deliver

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestDiscList: both lists have every pattern under its number, with the codes
// that it is defined by, and what each must know of it once.
func TestDiscList(t *testing.T) {
	q := discRequest("x", "480i", "bars-eg1", "multiburst", "crosshatch", "crosshatch color=red")
	q.Audio, q.Choices[3].Step = Tone, "Later"
	d, err := q.Layout()
	require.NoError(t, err)
	p := &DiscProof{Image: "bench-a.iso"}
	for _, j := range d.Jobs {
		p.Pictures = append(p.Pictures, DiscPicture{Seconds: j.Seconds().Float64(), Proof: &Proof{}})
	}
	p.Pictures[1].Proof.Detail = 23
	l := d.list(p)
	page, err := l.html()
	require.NoError(t, err)
	for name, text := range map[string]string{"text": strings.Join(strings.Fields(string(l.text())), " "), "page": string(page)} {
		t.Run(name, func(t *testing.T) {
			for _, want := range []string{
				"BENCH_A: 4 patterns", "Burn bench-a.iso as a disc image", "Flat areas were measured to be within 2 codes",
				"a tone of 1 kHz at -20 dBFS", "Convergence", "The center first.", "Later", "lethal voltages", "photosensitive epilepsy",
				"off by up to 23 codes on this disc", "and 10 more, see disc.json",
			} {
				assert.Contains(t, text, want)
			}
			assert.Equal(t, 1, strings.Count(text, "Thin bright lines that stand still"), "a caution stands once")
			for _, line := range strings.Split(string(l.text()), "\n") {
				assert.LessOrEqual(t, len([]rune(line)), listWidth)
			}
		})
	}
	require.Len(t, l.Groups, 2)
	numbers := []int{}
	for _, g := range l.Groups {
		for _, it := range g.Items {
			numbers = append(numbers, it.Number)
		}
	}
	assert.Equal(t, []int{1, 2, 3, 4}, numbers)
	// The 75 % yellow of ITU-R BT.601 is 162 44 142 (memory).
	assert.Contains(t, l.Groups[0].Items[0].Levels, discLevel{"yellow", "162 44 142"})
}
