package cli

import (
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"backporch/internal/device"
	"backporch/internal/table"
)

type reachOptions struct {
	*Streams
	tableFlags

	Device string
	Raster string
	Aspect string
	Tubes  string
}

// newReach returns the reach command. Tests pass runF to see the parsed options
// without doing the work.
func newReach(s *Streams, runF func(*reachOptions) error) *cobra.Command {
	o := &reachOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "reach",
		Short: "Say what detail a device can show, and which tubes it can judge",
		Long: `Say which detail is the finest that the clock of a device can put on the cable,
in MHz and TV lines; which tubes resolve more than that, and so cannot be told
apart with it; and what source it would take.`,
		Example: "  backporch reach --device pixel-256\n  backporch reach --device player-525 --tube-tv-lines 600\n  backporch reach --device computer-1440-625 --tube-tv-lines 450,800",
		GroupID: "know",
		Args:    exactly(0, ""),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := noEmpty(cmd); err != nil {
				return err
			}
			if runF != nil {
				return runF(o)
			}
			return o.run()
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&o.Device, "device", "player-525", "a NAME that list devices has, or a profile of your own, FILE.toml")
	f.StringVar(&o.Raster, "raster", "", "one of the device's rasters (its usual one)")
	f.StringVar(&o.Aspect, "aspect", "4:3", "shape of the screen: 4:3 or 16:9")
	f.StringVar(&o.Tubes, "tube-tv-lines", "", "TV lines of your tube, or of several with commas between them, 50 to 2000 (300 to 800)")
	o.tableFlags.add(cmd)
	completeDevice(cmd)
	complete(cmd, "aspect", []string{"4:3", "16:9"})
	return cmd
}

func (o *reachOptions) run() error {
	p, err := readDevice(o.Device)
	if err != nil {
		return &usageError{err: err}
	}
	r, err := p.Raster(o.Raster)
	if err != nil {
		return &usageError{err: err}
	}
	aspect, err := parseAspect(o.Aspect)
	if err != nil {
		return err
	}
	tubes, err := tvLineList(o.Tubes)
	if err != nil {
		return err
	}
	reach := p.Reach(r, aspect, tubes)
	t := reachTable(reach)
	if o.CSV && !o.JSON {
		return o.print(o.Streams, t)
	}
	rec := &table.Record{Name: "reach", Fields: []table.Field{
		{Name: "Device", Value: p.Name},
		{Name: "Raster", Value: r.Name},
		{Name: "System", Value: p.System.Name},
		{Name: "Pixel clock", Unit: "MHz", Decimals: 6, Value: r.Clock.Float64() / 1e6},
		{Name: "Finest at all", Unit: "MHz", Decimals: 3, Value: reach.AtAll.MHz},
		{Name: "Finest at all", Unit: "TV lines", Key: "finest_at_all_tv_lines", Decimals: 0, Value: reach.AtAll.TVLines},
		{Name: "Finest clean", Unit: "MHz", Decimals: 3, Value: reach.Clean.MHz},
		{Name: "Finest clean", Unit: "TV lines", Key: "finest_clean_tv_lines", Decimals: 0, Value: reach.Clean.TVLines},
	}, Tables: []*table.Table{t}, Notes: reach.Words()}
	return o.print(o.Streams, rec)
}

// tvLineList reads --tube-tv-lines.
func tvLineList(text string) (list []float64, err error) {
	if text == "" {
		return device.UsualTubes(), nil
	}
	const least, most = 50, 2000
	for _, word := range strings.Split(text, ",") {
		v, err := strconv.ParseFloat(strings.TrimSpace(word), 64)
		if err != nil || !(v >= least && v <= most) {
			return nil, usagef("--tube-tv-lines: %q is not within %d to %d TV lines", word, least, most)
		}
		list = append(list, v)
	}
	slices.Sort(list)
	return slices.Compact(list), nil
}

// reachTable has a row for each tube.
func reachTable(r device.Reach) *table.Table {
	t := &table.Table{Name: "tubes", Title: "Tubes", Columns: []table.Column{
		{Name: "Tube", Unit: "TV lines", Key: "tv_lines"}, {Name: "Detail", Unit: "MHz", Decimals: 2}, {Name: "With this device"},
		{Name: "Clock needed", Unit: "MHz", Decimals: 2}, {Name: "Pixels needed", Key: "pixels"}, {Name: "Devices that reach it", Key: "devices"},
	}}
	for i, tube := range r.Tubes {
		n := r.Needs[i]
		t.Add(tube.TVLines, tube.MHz, tube.State.String(), n.ClockMHz, n.Samples, strings.Join(n.Devices, ", "))
	}
	return t
}
