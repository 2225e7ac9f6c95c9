package cli

import (
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"backporch/internal/composite"
)

// signalFlags are what can be changed of a signal besides its picture and its
// wire. They mean the same with every command that makes a signal.
type signalFlags struct {
	Chroma     string
	Burst      string
	ChromaGain string
}

func (s *signalFlags) add(cmd *cobra.Command, f *pflag.FlagSet) {
	f.StringVar(&s.Chroma, "chroma", "", "band of the color on a subcarrier: wide (1.3 MHz), narrow (0.6 MHz) or none (not limited) (wide)")
	f.StringVar(&s.Burst, "burst", "", "amplitude of the burst in per cent of the standard's, 0 to 200, or off (100)")
	f.StringVar(&s.ChromaGain, "chroma-gain", "", "amplitude of the color in per cent of the standard's, 0 to 200 (100)")
	complete(cmd, "chroma", []string{"wide", "narrow", "none"})
	complete(cmd, "burst", []string{"off"})
}

// options returns what the flags ask of an encoder for a wire. Flags that the
// wire has no use for are errors.
func (s *signalFlags) options(w *composite.Wire) (o composite.Options, err error) {
	o = composite.Standard
	if !w.Subcarrier() {
		for _, f := range []struct{ name, value string }{{"chroma", s.Chroma}, {"burst", s.Burst}, {"chroma-gain", s.ChromaGain}} {
			if f.value != "" {
				return o, usagef("--%s belongs to a signal with a subcarrier, and %s has none; leave it out, or use a composite or Y/C wire", f.name, w.Name)
			}
		}
		return o, nil
	}
	switch s.Chroma {
	case "", "wide":
	case "narrow":
		o.Band = composite.Narrow
	case "none":
		o.Band = composite.Unlimited
	default:
		return o, usagef("--chroma %q is none of wide, narrow or none", s.Chroma)
	}
	if s.Burst == "off" {
		o.Burst = 0
	} else if o.Burst, err = amplitude("burst", s.Burst, "; off is another word for 0"); err != nil {
		return o, err
	}
	o.ChromaGain, err = amplitude("chroma-gain", s.ChromaGain, "")
	return o, err
}

// amplitude reads a per cent, with or without its sign; "" is 100.
func amplitude(flag, text, hint string) (float64, error) {
	if text == "" {
		return 1, nil
	}
	v, err := strconv.ParseFloat(strings.TrimSuffix(text, "%"), 64)
	if err != nil || math.IsNaN(v) || v < 0 || v > 200 {
		return 0, usagef("--%s: %q is not a per cent from 0 to 200%s", flag, text, hint)
	}
	return v / 100, nil
}
