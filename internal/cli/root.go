package cli

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"backporch/pattern"
)

const rootLong = `backporch computes test pictures for the alignment of picture-tube monitors:
exact in level and timing, at 480i, 576i, 240p and 288p, with 7.5 IRE setup or
without, as pictures and streams that any source device can play.

The shortest useful commands:

  backporch kit                      a folder with the whole catalogue and a page about it
  backporch render bars-eg1          one picture
  backporch list patterns            what there is, by the job it serves
  backporch show bars-eg1            what it is for, and the codes of every patch`

const caution = `Inside a picture-tube set there are lethal voltages, also after it is unplugged.
Follow the maker's service data and local codes; if you are not trained and
licensed for the work, leave it to those who are.`

func newRoot(s *Streams, args []string) *cobra.Command {
	root := &cobra.Command{
		Use:           "backporch",
		Short:         "Exact test pictures for picture-tube monitors",
		Long:          rootLong + "\n\n" + caution,
		SilenceUsage:  true,
		SilenceErrors: true,
		Args:          cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return cmd.Help()
			}
			var names []string
			for _, c := range cmd.Commands() {
				names = append(names, c.Name())
			}
			return &usageError{fmt.Errorf("unknown command %q%s", args[0], pattern.Suggest(args[0], names)), "backporch"}
		},
	}
	root.SetFlagErrorFunc(flagError)
	root.AddGroup(&cobra.Group{ID: "make", Title: "Make pictures:"}, &cobra.Group{ID: "know", Title: "Know what they are:"})
	root.AddCommand(
		newKit(s, nil),
		newRender(s, args, nil),
		newList(s),
		newShow(s, nil),
		newVersion(s),
	)
	root.CompletionOptions.HiddenDefaultCmd = false
	return root
}

// flagError turns what the flag package says into a usage error that names the
// way out.
func flagError(cmd *cobra.Command, err error) error {
	text := err.Error()
	if name, ok := strings.CutPrefix(text, "unknown flag: --"); ok {
		var names []string
		add := func(f *pflag.Flag) { names = append(names, "--"+f.Name) }
		cmd.LocalFlags().VisitAll(add)
		cmd.InheritedFlags().VisitAll(add)
		text = fmt.Sprintf("unknown flag --%s%s", name, pattern.Suggest("--"+name, names))
	}
	// pflag repeats the value and the flag before the reason that our own
	// options give.
	if i := strings.Index(text, "\" flag: "); i >= 0 && strings.HasPrefix(text, "invalid argument") {
		flag := text[:i]
		flag = flag[strings.LastIndex(flag, "--"):]
		reason := text[i+len("\" flag: "):]
		text = flag + ": " + strings.TrimPrefix(reason, strings.TrimPrefix(flag, "--")+": ")
	}
	return &usageError{fmt.Errorf("%s", text), cmd.CommandPath()}
}

// needs returns the patterns' subcommands only for the verb being run, helped
// or completed: building them takes longer than starting the program.
func needs(args []string, verb string) bool {
	return slices.Contains(args, verb) || slices.Contains(args, verb+"s")
}

// exactly is cobra.ExactArgs with words for the user.
func exactly(n int, what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		switch {
		case len(args) < n:
			return &usageError{fmt.Errorf("%s is missing", what), cmd.CommandPath()}
		case len(args) > n:
			return &usageError{fmt.Errorf("%q is one word too many", args[n]), cmd.CommandPath()}
		}
		return nil
	}
}
