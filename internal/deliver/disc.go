package deliver

import (
	"fmt"
	"slices"
	"strings"

	"backporch/internal/output"
	"backporch/internal/render"
	"backporch/pattern"
	"backporch/timing"
)

// DiscManifest is how a folder with a disc is recognized.
var DiscManifest = output.Manifest{Name: "disc.json", Schema: "backporch/disc/1"}

// What a DVD-Video disc can hold.
const (
	// DiscPrograms is how many programs a program chain and chapters a title may
	// have (DVD-Video: secondary; libdvdread's ifo_types.h has a byte for them,
	// players show two digits).
	DiscPrograms = 99
	// DiscTarget is what its programs are made as.
	DiscTarget = "mpeg2-dvd"
	// DiscSeconds is the shortest loop: players stop for a moment where it closes.
	DiscSeconds = 10
	// discLongest is the longest: the player repeats it anyway.
	discLongest = 600
	// discBytes is what a disc of one layer holds, 2 295 104 sectors of 2048
	// bytes (DVD+R, ECMA-349: memory; DVD-R has 0.2 % more).
	discBytes = 2295104 * discSector
)

// A DiscRequest is a DVD-Video disc to make: a folder with VIDEO_TS, AUDIO_TS,
// an image to burn, a list for people and the proof.
type DiscRequest struct {
	Dir     string
	Force   bool
	Title   string // of the volume; "": BACKPORCH and the raster
	Choices []DiscChoice
	Picture render.Request
	Frames  int  // of each pattern, at least; with Still not used
	Still   bool // true stills: one picture that the player holds
	Audio   Audio
	Program string // name and version, for the files

	// Progress, if not nil, is told how many frames are done, of encoding and of
	// proving together.
	Progress func(done, total int)
}

// A DiscChoice is a pattern of a disc. They are in the order of work.
type DiscChoice struct {
	Spec string // spelling
	Step string // of the work
	Do   string // what to do in that step
}

// A Disc is a DiscRequest that has been laid out and found possible.
type Disc struct {
	DiscRequest
	Raster *timing.Raster
	Wide   bool // 16:9
	Jobs   []*Job
	Entry  []pattern.Entry
	Notes  []string
}

// Layout checks the request and lays all pictures out. Errors name what cannot
// be and the way out; a *render.RangeError can be overcome with Clip.
func (q *DiscRequest) Layout() (*Disc, error) {
	d := &Disc{DiscRequest: *q}
	switch n := len(q.Choices); {
	case n == 0:
		return nil, fmt.Errorf("a disc has one pattern at least; name some with --patterns")
	case n > DiscPrograms:
		return nil, fmt.Errorf("%d patterns are more than the %d programs that a title of a disc can have; choose fewer with --patterns, or make two discs", n, DiscPrograms)
	}
	switch d.Audio {
	case "", NoAudio, Silent, Tone:
	default:
		return nil, fmt.Errorf("--audio: %q is none of none, silent and tone", d.Audio)
	}
	if d.Audio == "" {
		d.Audio = Silent
		if d.Still {
			d.Audio = NoAudio
		}
	}
	if d.Still && d.Audio != NoAudio {
		return nil, fmt.Errorf("a still picture of a disc is one frame long and has no sound; leave --audio out, or leave --still out")
	}
	if d.Still {
		d.Frames = 1
	}
	if t := Lookup(DiscTarget); !slices.Contains(t.Rasters, q.Picture.Raster.Name) {
		r := q.Picture.Raster
		return nil, fmt.Errorf("a disc cannot have raster %s: %s; %s", r.Name, t.why(r), t.way(r))
	}
	rate := q.Picture.Raster.FrameRate()
	if got := timing.Int(int64(d.Frames)).Div(rate); !d.Still && got.Cmp(timing.Int(DiscSeconds)) < 0 {
		return nil, fmt.Errorf("--seconds: %.2f s is too short for a loop of a disc, which closes with a pause; use %d or more, or --still", got.Float64(), DiscSeconds)
	}
	if got := timing.Int(int64(d.Frames)).Div(rate); got.Cmp(timing.Int(discLongest+1)) > 0 {
		return nil, fmt.Errorf("--seconds: %.0f s is more than a loop of a disc needs; use %d to %d, and let the player repeat it", got.Float64(), DiscSeconds, discLongest)
	}
	for _, c := range q.Choices {
		if err := d.add(c.Spec); err != nil {
			return nil, err
		}
	}
	d.Raster, d.Wide = d.Jobs[0].Raster, d.Jobs[0].Aspect == timing.R(16, 9)
	var err error
	if d.Title, err = discTitleOf(q.Title, d.Raster); err != nil {
		return nil, err
	}
	d.note()
	return d, nil
}

// add lays out one pattern.
func (d *Disc) add(spec string) error {
	e, p, _, err := pattern.Resolve(spec)
	if err != nil {
		return err
	}
	r := Request{Picture: d.Picture, Target: Lookup(DiscTarget), Frames: d.Frames, Audio: d.Audio}
	r.Picture.Pattern, r.Picture.Spec = p, spec
	j, err := r.Layout()
	if err != nil && strings.HasPrefix(err.Error(), "ident: ") {
		return err // not this pattern's fault
	}
	if err != nil {
		return fmt.Errorf("%s: %w", spec, err)
	}
	if d.Still {
		j.Frames, j.Notes = 1, nil // what they say of a length is not so
		if j.Scene.Period > 1 {
			j.note("it moves, and the still shows its first frame alone")
		}
	}
	d.Jobs, d.Entry = append(d.Jobs, j), append(d.Entry, e)
	return nil
}

// note says what holds for the whole disc.
func (d *Disc) note() {
	if d.Raster != d.Picture.Raster {
		d.Notes = append(d.Notes, fmt.Sprintf("The pictures are laid out on raster %s, which a disc has, not on %s.", d.Raster.Name, d.Picture.Raster.Name))
	}
	if d.Still {
		d.Notes = append(d.Notes, "Players may hold one field of a still only: rows then stand twice, and fine detail, interlace and a twitter of lines cannot be judged. If two rows look alike where they must not, use a disc without --still.")
	} else {
		d.Notes = append(d.Notes, "Each pattern repeats until next or previous is pressed. Where its loop closes, a player may hold the picture or mute the sound for a moment.",
			"Previous pressed late in a loop may begin the same pattern again; press it twice then.")
	}
	if d.Wide {
		d.Notes = append(d.Notes, "The pictures are 16:9: tell the player that the set is 16:9. One that is told 4:3 squeezes the rows of the picture, and nothing can be judged then.")
	} else {
		d.Notes = append(d.Notes, "The pictures are 4:3: tell the player that the set is 4:3, and switch its enhancement of pictures off (sharpness, noise, color).")
	}
}

// discTitleOf makes the name of a volume: d-characters of ISO 9660, capitals,
// digits and _ (ECMA-119, 7.4.1 and 8.4.7: memory), 32 at most.
func discTitleOf(title string, r *timing.Raster) (string, error) {
	if title == "" {
		title = "backporch " + r.Name
	}
	name := strings.ToUpper(strings.TrimSpace(title))
	name = strings.NewReplacer(" ", "_", "-", "_", ".", "_", ":", "_").Replace(name)
	for _, c := range name {
		if (c < 'A' || c > 'Z') && (c < '0' || c > '9') && c != '_' {
			return "", fmt.Errorf("--title: %q has %q, which a disc's name cannot have; use letters A to Z, digits, spaces and hyphens", title, c)
		}
	}
	if len(name) > 32 || name == "" {
		return "", fmt.Errorf("--title: %q has %d characters; a disc's name has 1 to 32", title, len(name))
	}
	return name, nil
}

// ImageName is the name of the image, after the title.
func (d *Disc) ImageName() string {
	return strings.ToLower(strings.ReplaceAll(d.Title, "_", "-")) + ".iso"
}
