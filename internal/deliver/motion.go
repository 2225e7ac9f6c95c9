package deliver

import (
	"context"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/ffmpeg"
	"backporch/internal/pixfmt"
	"backporch/timing"
)

// mover returns the job of a short file of moving bars, in the format and with
// the settings of j.
func (j *Job) mover() (*Job, error) {
	q := Request{Picture: j.Request, Target: j.Target, Depth: j.Format.Coding.Bits, Audio: NoAudio}
	q.Picture.Pattern, q.Picture.Spec, q.Picture.Ident = mover{}, "moving bars", ""
	q.Picture.Plan, q.Picture.Device, q.Picture.First = colorimetry.Plan{}, nil, 0
	// A group and a half, so that all kinds of pictures are there.
	q.Frames = max(gop(j.Raster)*3/2, 2*moverFields)
	return q.Layout()
}

// Motion keeps what moving bars have proved of an encoder's settings, so that
// many files of the same settings need it once. The zero value is ready; it is
// not safe for concurrent use.
type Motion struct{ rows map[string][]Check }

// motion encodes moving bars as the file was encoded, and checks what a player
// that follows the flags shows: every field at its time, with its own chroma.
func (j *Job) motion(ctx context.Context, tool *ffmpeg.Tool, path string, p *Proof) error {
	m, err := j.mover()
	if err != nil {
		return err
	}
	settings := strings.Join(m.args("", ""), " ") + " " + m.Raster.Name + " " + m.Format.Title
	if rows := j.moving.rows[settings]; rows != nil {
		p.Rows = append(p.Rows, rows...)
		return nil
	}
	before := len(p.Rows)
	if err := j.proveClip(ctx, tool, m, path, p); err != nil {
		return err
	}
	if j.moving.rows == nil {
		j.moving.rows = make(map[string][]Check)
	}
	j.moving.rows[settings] = slices.Clone(p.Rows[before:])
	return nil
}

// proveClip makes the file of moving bars beside path, and checks it.
func (j *Job) proveClip(ctx context.Context, tool *ffmpeg.Tool, m *Job, path string, p *Proof) error {
	clip := path + ".moving"
	defer os.Remove(clip)
	if err := m.Encode(ctx, tool, clip); err != nil {
		return err
	}
	return m.proveMotion(ctx, tool, clip, p)
}

// A fieldCheck compares fields as a player shows them with those of the
// definition.
type fieldCheck struct {
	job    *Job
	def    [][3][]uint16 // by field time
	fields int
	late   int // whose luma or chroma is that of another time
	mixed  [2]float64
	ground beyondMean
	bar    beyondMean
}

// beyondMean is the mean of samples that the definition wants at one code.
type beyondMean struct {
	code   uint16
	n, sum float64
}

// proveMotion checks a file of moving bars.
func (j *Job) proveMotion(ctx context.Context, tool *ffmpeg.Tool, path string, p *Proof) error {
	c := &fieldCheck{job: j}
	if err := c.define(); err != nil {
		return err
	}
	l, w, h := j.layout(), j.Raster.Width, j.Raster.Height()
	filter := ""
	if j.Raster.Scan.Interlaced() {
		// The filter hands out the two fields of a picture in the order in which the
		// picture is flagged, as a player sends them.
		filter, h = "separatefields", h/2
	}
	err := decode(ctx, tool, path, j.pixels(), filter, l, w, h, func(n int, raw []byte) error {
		if l.Down == 2 && h%2 != 0 {
			return fmt.Errorf("fields of %d rows", h)
		}
		got, err := l.Unpack(raw, w, h)
		if err != nil {
			return err
		}
		c.add(n, got)
		return nil
	})
	if err != nil {
		return err
	}
	c.judge(p)
	return nil
}

// define works out the fields of a period.
func (c *fieldCheck) define() error {
	j := c.job
	d := definition{job: j}
	for n := range moverFields / j.Raster.Scan.Fields {
		f, err := d.frame(n)
		if err != nil {
			return err
		}
		for k := range j.Raster.Scan.Fields {
			c.def = append(c.def, fieldOf(f, j.Raster, k+1))
		}
	}
	dark, bar, _, _ := moverLevels()
	c.ground.code, c.bar.code = j.Format.Coding.Codes(dark)[0], j.Format.Coding.Codes(bar)[0]
	return nil
}

// fieldOf returns the rows of one field. Rows of chroma belong to the fields in
// turn, like those of luma.
func fieldOf(f *pixfmt.Codes, r *timing.Raster, field int) (planes [3][]uint16) {
	if !r.Scan.Interlaced() {
		return f.Planes
	}
	first := 0
	if r.Lines[0].Field != field {
		first = 1
	}
	for i := range planes {
		_, rows := f.Size(i)
		for k := first; k < rows; k += 2 {
			planes[i] = append(planes[i], f.Row(i, k)...)
		}
	}
	return planes
}

// add compares the field that is shown n-th.
func (c *fieldCheck) add(n int, got *pixfmt.Codes) {
	c.fields++
	t := n % len(c.def)
	own, other := c.def[t], c.def[(t+1)%len(c.def)]
	if c.job.Raster.Scan.Interlaced() && n%2 == 1 {
		other = c.def[t-1] // the other field of the same frame
	}
	if c.nearest(got.Planes[0], 0) != t || c.nearest(got.Planes[1], 1) != t {
		c.late++
	}
	c.mixed[0] = max(c.mixed[0], math.Abs(share(own[0], other[0], got.Planes[0])))
	for i := 1; i < 3; i++ {
		c.mixed[1] = max(c.mixed[1], math.Abs(share(own[i], other[i], got.Planes[i])))
	}
	for i, w := range own[0] {
		for _, b := range []*beyondMean{&c.ground, &c.bar} {
			if w == b.code {
				b.n, b.sum = b.n+1, b.sum+float64(got.Planes[0][i])
			}
		}
	}
}

// nearest returns the field time whose plane is nearest.
func (c *fieldCheck) nearest(got []uint16, plane int) (best int) {
	least := math.MaxInt
	for t, d := range c.def {
		sum := 0
		for i, v := range d[plane] {
			sum += distance(v, got[i])
		}
		if sum < least {
			best, least = t, sum
		}
	}
	return best
}

// share is how much of the other field there is in what was got, 0 to 1.
func share(own, other, got []uint16) float64 {
	var a, b float64
	for i := range own {
		d := float64(other[i]) - float64(own[i])
		a, b = a+float64(d*(float64(got[i])-float64(own[i]))), b+float64(d*d)
	}
	return a / b
}

// mixedMost is the share of the other field that is no mixing: DVD and DV leave
// up to 0.1 of their own errors (measured). A converter that takes the rows of
// both fields for one picture makes it 0.25 or more.
const mixedMost = 0.15

// judge adds the rows.
func (c *fieldCheck) judge(p *Proof) {
	j := c.job
	name, want := "moving bars, fields", j.Frames*j.Raster.Scan.Fields
	if !j.Raster.Scan.Interlaced() {
		name = "moving bars, frames"
	}
	p.equal(name, fmt.Sprint(want), fmt.Sprint(c.fields))
	p.equal("moving bars, at the wrong time", "0", fmt.Sprint(c.late))
	for i, what := range []string{"luma", "chroma"} {
		p.check(fmt.Sprintf("moving bars, %s mixed", what), fmt.Sprintf("less than %.0f %%", mixedMost*100), fmt.Sprintf("%.1f %%", c.mixed[i]*100), c.mixed[i] < mixedMost)
	}
	for _, b := range []struct {
		name string
		beyondMean
	}{{"moving bars, below black", c.ground}, {"moving bars, above white", c.bar}} {
		mean := b.sum / max(b.n, 1)
		p.check(b.name, fmt.Sprintf("code %d", b.code), fmt.Sprintf("code %.1f", mean), math.Abs(mean-float64(b.code)) <= j.Target.Tolerance)
	}
}
