// Package compare shows the same picture side by side as different sources and
// sets make it: what each variant gives on the tube, as a page of pictures and
// as numbers.
//
// Nothing is reckoned past the signal: the picture is sampled on the lattice of
// the encoder, encoded, decoded by the model of a set, and then looked at on the
// model of its tube. Numbers are measured in the interior of the pattern's named
// patches.
package compare

import (
	"fmt"
	"math"
	"runtime"
	"sync"

	"backporch/internal/composite"
	"backporch/internal/tube"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// A Request is one comparison.
type Request struct {
	Spec   string // how the pattern is spelled
	Scene  *pattern.Scene
	View   pattern.View
	Aspect timing.Ratio // of the screen, 4/3 or 16/9

	// Carried samples what every source plays on a lattice, in 4:4:4, before the
	// levels of a wire: 0 black, 1 white.
	Carried func(r *timing.Raster) (*frame.Frame, error)

	Wire    *composite.Wire // of sources, where the axis does not vary it
	Options composite.Options
	Set     tube.Set // where the axis does not vary it; a nil Input.Family is that of the source
	Axis    Axis
	Values  []float64 // of a numeric axis; none are the usual ones
	Gun     Gun

	// Exposure is how many times the pictures double the light, 0 to 12, as a
	// camera would to show what is too dark for a screen. Light parts clip.
	Exposure float64

	// Choose leaves the separation of composite to the comparison: a comb for
	// bandwidth, of which a notch leaves nothing to compare, where the scan has
	// one; else the notch.
	Choose bool
}

// A Level is one of the luminances that every variant has.
type Level struct {
	Nits  float64 // cd/m2
	Drive float64 // luma that the set decodes, 0 black and 1 white
	From  string  // name of the patch it was measured in; "" if the level was sent through by itself
}

// An Outcome is a variant with what was measured of it.
type Outcome struct {
	Variant
	Black, Half, White Level
	OwnBlack           float64 // light of the set at a signal of 0, cd/m2
	Steps              []Step  // neutral patches, darkest first
	Bars               []Bar   // colored patches
	Guns               *GunBars
	RiseTime           float64 // of a luma edge from black to white, 10 to 90 %, ns; NaN where it is lost; of [TVLines] only

	frame *frame.Frame
}

// dark is the part of white below which a light is none: what rounding leaves
// of black in the samples of a signal.
const dark = 1e-9

// Contrast returns white over black, +Inf where black gives no light.
func (o *Outcome) Contrast() float64 {
	if o.Black.Nits <= float64(dark*o.White.Nits) {
		return math.Inf(1)
	}
	return o.White.Nits / o.Black.Nits
}

// Cut returns the luma of the pattern below which a set gives no picture, 0
// where black itself is shown: 0.075 when it takes off a setup that is not
// there.
func (o *Outcome) Cut() float64 {
	const little = 0.002 // of the luma excursion: what noise and rounding leave
	if o.Black.Drive > -little {
		return 0
	}
	return -o.Black.Drive / (o.White.Drive - o.Black.Drive)
}

// A Result is a comparison made.
type Result struct {
	Request
	Outcomes    []Outcome
	Columns     int // pictures side by side
	Sensitivity *Sensitivity
	NoGuns      string // why the four bars of the gun were not measured; ""
}

// Run makes a comparison. Errors name what the wire or the set cannot do, and
// the way out.
func Run(q Request) (*Result, error) {
	if q.Choose && q.Axis == TVLines && q.Wire.Kind == composite.Composite {
		comb := composite.Decoder{Family: q.Wire.Family, Separation: composite.Comb2}
		scan := q.View.Shown.Scan
		if q.Wire.Check(scan) == nil && comb.Check(&composite.Wave{Wire: q.Wire, Timebase: q.Wire.Timebase(scan)}) == nil {
			q.Set.Input.Separation = composite.Comb2
		}
	}
	list, columns, err := q.variants()
	if err != nil {
		return nil, err
	}
	all, of := sources(list)
	signals := make([]*signal, len(all))
	var once sampler
	if err := each(len(all), func(i int) (err error) {
		signals[i], err = q.signal(all[i], &once)
		return err
	}); err != nil {
		return nil, err
	}
	for i := range list { // before the work: the error is the user's
		if err := list[i].Set.Input.Check(signals[of[i]].picture); err != nil {
			return nil, err
		}
	}
	res := &Result{Request: q, Columns: columns, Outcomes: make([]Outcome, len(list))}
	var guns *GunBars
	if q.Gun != AllGuns {
		var missing error
		if guns, missing = findGunBars(signals[0].patches, q.Gun); missing != nil {
			guns, res.NoGuns = nil, missing.Error()
		}
	}
	if err := each(len(list), func(i int) (err error) {
		res.Outcomes[i], err = q.outcome(list[i], signals[of[i]], guns)
		return err
	}); err != nil {
		return nil, err
	}
	if guns != nil {
		res.Sensitivity, err = q.sensitivity(list, signals, of, guns)
	}
	return res, err
}

// A signal is what a source sends, and where its patches lie.
type signal struct {
	picture *composite.Wave
	probe   *probe
	patches []placed
	from    [numLevels]int // index of patches; -1: the probe
}

// A sampler samples the picture once for each lattice.
type sampler struct {
	mu     sync.Mutex
	frames map[timing.Ratio]*frame.Frame // by clock: a wire has one lattice
}

func (s *sampler) frame(r *timing.Raster, carried func(*timing.Raster) (*frame.Frame, error)) (*frame.Frame, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if f := s.frames[r.Clock]; f != nil {
		return f, nil
	}
	f, err := carried(r)
	if err != nil {
		return nil, err
	}
	if s.frames == nil {
		s.frames = make(map[timing.Ratio]*frame.Frame)
	}
	s.frames[r.Clock] = f
	return f, nil
}

// signal encodes the picture and the probe.
func (q *Request) signal(s Source, once *sampler) (*signal, error) {
	e, err := composite.NewEncoder(s.Wire, q.View.Shown.Scan, s.Options)
	if err != nil {
		return nil, err
	}
	lattice := e.Lattice(0)
	g := &signal{from: [numLevels]int{-1, -1, -1}}
	g.picture, err = e.Encode(0, 1, func(r *timing.Raster, _ int) (*frame.Frame, error) { return once.frame(r, q.Carried) })
	if err != nil {
		return nil, err
	}
	if g.probe, err = newProbe(q.View, s); err != nil {
		return nil, err
	}
	g.patches = q.place(lattice)
	for k, p := range g.patches {
		for l, v := range levelValues {
			want := p.patch.Want
			if g.from[l] < 0 && math.Abs(want.Y-v) < 1e-6 && math.Hypot(want.CB, want.CR) < 1e-6 {
				g.from[l] = k
			}
		}
	}
	return g, nil
}

// place finds the patches of one level on a lattice.
func (q *Request) place(r *timing.Raster) (list []placed) {
	for _, p := range q.Scene.Patches {
		if p.Kind != pattern.Level || p.Absent != "" {
			continue
		}
		if a, ok := areaOf(r, p); ok {
			list = append(list, placed{p, a})
		}
	}
	return list
}

// A measurer measures a decoded frame.
type measurer struct {
	set     *tube.Set
	frame   *frame.Frame
	patches []placed
}

func (m *measurer) read(p placed) Reading { return read(m.set, m.frame, p.area) }

// outcome decodes and measures a variant.
func (q *Request) outcome(v Variant, g *signal, guns *GunBars) (o Outcome, err error) {
	o.Variant = v
	if o.frame, err = v.Set.Input.Decode(g.picture, 0); err != nil {
		return o, fmt.Errorf("%s: %w", v.Name, err)
	}
	levels, err := g.probe.decode(v.Set.Input)
	if err != nil {
		return o, fmt.Errorf("%s: %w", v.Name, err)
	}
	m := &measurer{&v.Set, o.frame, g.patches}
	for l, to := range [numLevels]*Level{levelBlack: &o.Black, levelHalf: &o.Half, levelWhite: &o.White} {
		if k := g.from[l]; k >= 0 {
			r := m.read(g.patches[k])
			*to = Level{r.Nits, r.Signal.Y, g.patches[k].patch.Name}
			continue
		}
		a, _ := areaOf(levels.Raster, g.probe.patch(l))
		r := read(&v.Set, levels, a)
		*to = Level{r.Nits, r.Signal.Y, ""}
	}
	if q.Axis == TVLines {
		o.RiseTime = g.probe.riseTime(levels)
	}
	o.OwnBlack = v.Set.Curve.Light(0)
	o.Steps = m.steps()
	judge(o.Steps, o.OwnBlack, o.Black.Nits, v.Set.Curve.Light(1))
	o.Bars = m.bars()
	if guns != nil {
		o.Guns = m.gunBars(guns, q.Gun)
	}
	return o, nil
}

// sensitivity measures what small errors do to the first variant whose source
// and set belong together.
func (q *Request) sensitivity(list []Variant, signals []*signal, of []int, guns *GunBars) (*Sensitivity, error) {
	at := 0
	for i, v := range list {
		if v.Match == Matched {
			at = i
			break
		}
	}
	set := q.Set
	set.Input.Family = list[at].Source.Wire.Family
	g := signals[of[at]]
	return sensitivity(func(gain, phase float64) (*GunBars, error) {
		s := set
		s.Input.Gain, s.Input.Phase = gain, phase
		f, err := s.Input.Decode(g.picture, 0)
		if err != nil {
			return nil, err
		}
		return (&measurer{&s, f, g.patches}).gunBars(guns, q.Gun), nil
	})
}

// each calls do for 0 to n-1 on all processors and returns the first error in
// that order.
func each(n int, do func(i int) error) error {
	errs := make([]error, n)
	next := make(chan int)
	var wg sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			for i := range next {
				errs[i] = do(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wg.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
