package cli

import (
	"context"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"backporch/colorimetry"
	"backporch/internal/output"
)

type whiteOptions struct {
	*Streams
	tableFlags
	jobFlags
	lightFlags

	Stdin     bool // readings come as lines, one each
	Target    string
	Primaries string
	GunsFile  string
	Keep      string
	Gamma     float64
	Black     string
	Within    float64
	Dark      float64

	Knobs    string
	At       string
	Rounds   string
	Add      bool
	Template bool

	set map[string]bool // flags that were given
}

const whiteLong = `Compute how drives and cutoffs must move so that gray steps come out at the target
white. Read two or more gray steps, a dark one (10 to 20 %) and a light one (80 to
100 %), with brightness and contrast set before.

Without the knobs it knows the law of a picture tube: the moves are per cent of drive
and of the signal range, with the color that each step will have after them.

With the knobs (--knobs, or columns of --rounds) it learns what they do on this very
set: every round is one setting of the knobs and the steps read at it. The advice is
the next setting in the knobs' own units, where to turn each first so that all are
approached from below, what each knob has been found to do, and when to stop.

  --knobs "red-drive=0..255/1,blue-drive=0..255/1,red-cutoff,blue-cutoff"

names each knob by gun (red, green, blue) and by what it does (drive or gain, cutoff
or bias), with the ends of its travel and its smallest step where they are known.

The rounds stand in one file, a line a reading, and --add writes a new round into it:
  round,level_percent,x,y,Y,red-drive,blue-drive
  1,20,0.300,0.310,2.1,128,128
  1,80,0.305,0.318,61.0,128,128
They may come from a job as well: its readings of gray with --knobs.

` + caution

const whiteCaution = "Drives and cutoffs often sit on the board at the neck of the tube, next to focus and anode voltages that kill, also after the set is unplugged. One hand only, an insulated tool, nothing on the wrist; a mains-connected chassis through an isolation transformer. If you are not trained for it, leave it to those who are."

// newWhite returns the white command. Tests pass runF to see the parsed options
// without doing the work.
func newWhite(s *Streams, runF func(context.Context, *whiteOptions) error) *cobra.Command {
	o := &whiteOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "white [-]",
		Short: "Balance white: what to move on drives and cutoffs, learned round by round",
		Long:  whiteLong,
		Example: `  backporch white --read "20:0.300 0.310 2.1" --read "80:0.305 0.318 61"
  backporch white --from steps.csv --target D93 --guns fields.csv --keep green
  backporch white --template --knobs "red-drive=0..255/1,blue-drive=0..255/1" > bench-a-rounds.csv
  backporch white --rounds bench-a-rounds.csv --add --at "red-drive=128,blue-drive=120" \
      --read "20:0.300 0.310 2.1" --read "80:0.305 0.318 61"
  backporch white --job bench-a`,
		GroupID: "work",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 1 && args[0] == output.Stdout {
				return nil
			}
			if len(args) == 1 {
				return &usageError{usagef("%q is no way to bring readings in; use --read, --from FILE.csv, or - for lines such as 20:0.300 0.310 2.1 on standard input", args[0]), cmd.CommandPath()}
			}
			return exactly(0, "")(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := noEmpty(cmd); err != nil {
				return err
			}
			o.Stdin, o.set = len(args) == 1, map[string]bool{}
			cmd.Flags().Visit(func(f *pflag.Flag) { o.set[f.Name] = true })
			if err := o.agree(); err != nil {
				return err
			}
			if runF != nil {
				return runF(cmd.Context(), o)
			}
			return o.run(cmd.Context())
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	o.lightFlags.add(cmd, f, `"LEVEL:FIGURES", such as "20:0.300 0.310 2.1"`)
	f.StringVar(&o.Target, "target", "D65", "white to reach: "+colorimetry.WhiteRange()+" (that of the job, else D65)")
	f.StringVar(&o.Primaries, "primaries", "p22", "phosphors: "+strings.Join(colorimetry.PrimariesNames(), ", ")+", or six numbers, x,y of red, green and blue (those of the job, else p22)")
	f.Lookup("target").DefValue, f.Lookup("primaries").DefValue = "", "" // told in the words
	f.StringVar(&o.GunsFile, "guns", "", "the fields of the three guns as they were read, FILE.csv, instead of --primaries: better than any name")
	f.StringVar(&o.Keep, "keep", "green", "gun that stays as it is: red, green or blue")
	f.Float64Var(&o.Gamma, "gamma", 0, "of the tube, 1 to 4 (told by three or more steps, else 2.4)")
	f.StringVar(&o.Black, "black", "", "light of the unlit screen, three figures as --read has them; it is taken off every reading")
	f.StringVar(&o.Knobs, "knobs", "", "learn these knobs: NAME=LEAST..MOST/STEP, separated by commas")
	f.StringVar(&o.At, "at", "", "where the knobs stand in the readings: red-drive=128,green-cutoff=40")
	f.StringVar(&o.Rounds, "rounds", "", "file with the rounds so far, one reading a line")
	f.BoolVar(&o.Add, "add", false, "write the round of --read, --from or the prompt into the file of --rounds (made if it is not there)")
	f.BoolVar(&o.Template, "template", false, "print an empty file of rounds for the knobs of --knobs")
	f.Float64Var(&o.Within, "within", 0, "how near the target the lightest step must be, du'v' (0.0010; 0.003 for sets of grade 2 and 3)")
	f.Float64Var(&o.Dark, "within-dark", 0, "the same of the darkest step (2.4 times --within)")
	o.jobFlags.add(cmd)
	f.Lookup("job").Usage = "take target, phosphors and readings of gray from this job"
	o.tableFlags.add(cmd)
	complete(cmd, "target", colorimetry.WhiteNames())
	complete(cmd, "primaries", colorimetry.PrimariesNames())
	complete(cmd, "keep", gunNames())
	return cmd
}

// agree refuses flags that contradict each other.
func (o *whiteOptions) agree() error {
	typed := o.given() || o.Stdin
	switch {
	case o.Stdin && o.given():
		return usagef("- brings readings in, and so do --read and --from; give one of them")
	case o.JSON && o.CSV:
		return usagef("--json and --csv both say how to print; give one of them")
	case o.set["guns"] && o.set["primaries"]:
		return usagef("--guns and --primaries both tell the phosphors; give one of them")
	case o.Template && o.Knobs == "":
		return usagef("--template needs the knobs: name them with --knobs \"red-drive=0..255/1,blue-drive=0..255/1\"")
	case o.Template && (typed || o.Rounds != "" || o.At != ""):
		return usagef("--template prints an empty file and takes no readings; leave the others out")
	case o.Add && o.Rounds == "":
		return usagef("--add writes into the file of rounds; name it with --rounds FILE.csv")
	case o.Rounds != "" && o.set["job"]:
		return usagef("--rounds and --job both bring rounds in; give one of them")
	case typed && o.set["job"]:
		return usagef("--job takes the readings that the job holds; record new ones with `backporch job measure gray --knobs`, or leave --job out")
	case o.set["bench"] && !o.set["job"]:
		return usagef("--bench is the folder of a job; name the job with --job")
	case o.At != "" && o.set["job"]:
		return usagef("--at says where the knobs stand in readings that are given here; the job knows it of its own")
	case o.At == "" && typed && (o.Knobs != "" || o.Rounds != ""):
		return usagef("where do the knobs stand in these readings? Say it with --at \"red-drive=128,blue-drive=120\"")
	case o.At != "" && o.Knobs == "" && o.Rounds == "":
		return usagef("--at says where knobs stand that are to be learned; name them with --knobs, with travel and step, or the file of rounds with --rounds")
	case o.Add && o.At == "":
		return usagef("--add writes a new round: give its readings, and with --at where the knobs stand")
	case o.set["gamma"] && !(o.Gamma >= 1 && o.Gamma <= 4):
		return usagef("--gamma: %g is none of a picture tube, 1 to 4; leave it out if it is not known", o.Gamma)
	case o.set["within"] && !(o.Within > 0 && o.Within < 0.1), o.set["within-dark"] && !(o.Dark > 0 && o.Dark < 0.1):
		return usagef("--within and --within-dark are distances in u', v', such as 0.001; below 0.1")
	case (o.set["within"] || o.set["within-dark"]) && !o.learning():
		return usagef("--within says when to stop learning; name the knobs with --knobs, or leave it out")
	case o.Add && o.Rounds == output.Stdout:
		return usagef("--add writes into a file; - is standard input")
	}
	return o.check()
}

// learning reports whether knobs are to be learned. A job decides by what it
// holds.
func (o *whiteOptions) learning() bool { return o.Knobs != "" || o.Rounds != "" || o.set["job"] }
