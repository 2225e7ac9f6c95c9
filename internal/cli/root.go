package cli

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"backporch/internal/typo"
	"backporch/pattern"
)

const rootLong = `backporch computes test pictures for the alignment of picture-tube monitors:
exact in level and timing, at 480i, 576i, 240p and 288p, with 7.5 IRE setup or
without, as pictures and streams that any source device can play.

The shortest useful commands:

  backporch kit                      a folder with the whole catalogue and a page about it
  backporch render bars-eg1          one picture
  backporch list patterns            what there is, by the job it serves
  backporch show bars-eg1            what it is for, and the codes of every patch
  backporch readings bars-eg1        what scope, vectorscope and light meter must read
  backporch scope bars-eg1           the picture that your own scope must show
  backporch compare bars-eg1         source and set with setup and without
  backporch deliver dvd              a disc of the whole catalogue, proved
  backporch check FILE --pattern bars-eg1    is that source fit to align a set against?
  backporch job new bench-a --tube shadow-mask   the work on a set, step by step`

const exitCodes = `Exit codes: 0 done, 1 the work failed, 2 the command line is wrong, 3 measured and
out of tolerance, not fit, or not to be told. An interrupted or failed run leaves
nothing half-written under the name of its output.`

const caution = `Inside a picture-tube set there are lethal voltages, also after it is unplugged.
Follow the maker's service data and local codes; if you are not trained and
licensed for the work, leave it to those who are.`

func newRoot(s *Streams, args []string) *cobra.Command {
	root := &cobra.Command{
		Use:           "backporch",
		Short:         "Exact test pictures for picture-tube monitors",
		Long:          rootLong + "\n\n" + exitCodes + "\n\n" + caution,
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
			return &usageError{fmt.Errorf("unknown command %q%s", args[0], typo.Suggest(args[0], names)), "backporch"}
		},
	}
	root.SetFlagErrorFunc(flagError)
	root.AddGroup(&cobra.Group{ID: "make", Title: "Make pictures and signals:"}, &cobra.Group{ID: "know", Title: "Know what they are:"},
		&cobra.Group{ID: "work", Title: "Work on a set:"})
	root.AddCommand(
		newKit(s, nil),
		newRender(s, args, nil),
		newDeliver(s, nil),
		newWave(s, nil),
		newTone(s, nil),
		newModeline(s, nil),
		newList(s),
		newShow(s, nil),
		newCompare(s, nil),
		newReadings(s, nil),
		newReach(s, nil),
		newScope(s, nil),
		newCheck(s, nil),
		newJob(s),
		newWhite(s, nil),
		newVersion(s),
	)
	root.SetHelpCommand(newHelp(root))
	root.InitDefaultCompletionCmd(args...)
	for _, c := range root.Commands() {
		if c.Name() == "completion" {
			c.Args = exactly(0, "")
			c.Example = "  backporch completion bash > /etc/bash_completion.d/backporch"
			c.RunE = func(c *cobra.Command, _ []string) error { return c.Help() }
		}
	}
	return root
}

// newHelp returns the help command, which refuses what is no command.
func newHelp(root *cobra.Command) *cobra.Command {
	return &cobra.Command{
		Use:     "help [COMMAND]",
		Short:   "Help about any command",
		Long:    "Help about any command, such as render bars-eg1.",
		Example: "  backporch help kit\n  backporch help render crosshatch",
		RunE: func(_ *cobra.Command, args []string) error {
			c, rest, err := root.Find(args)
			if err != nil || len(rest) > 0 {
				return &usageError{fmt.Errorf("no help for %q: it is no command", strings.Join(args, " ")), "backporch"}
			}
			return c.Help()
		},
	}
}

// flagError turns what the flag package says into a usage error that names the
// way out.
func flagError(cmd *cobra.Command, err error) error {
	return &usageError{errors.New(flagText(cmd, err.Error())), cmd.CommandPath()}
}

func flagText(cmd *cobra.Command, text string) string {
	if name, ok := strings.CutPrefix(text, "unknown flag: --"); ok {
		if strings.Contains(cmd.Use, " PATTERN") && cmd.Name() != "render" {
			return fmt.Sprintf("unknown flag --%s; options of a pattern follow its name as %s=VALUE", name, name)
		}
		if cmd.Name() == "render" {
			return missingPattern
		}
		var names []string
		add := func(f *pflag.Flag) { names = append(names, "--"+f.Name) }
		cmd.LocalFlags().VisitAll(add)
		cmd.InheritedFlags().VisitAll(add)
		return fmt.Sprintf("unknown flag --%s%s", name, typo.Suggest("--"+name, names))
	}
	if strings.HasPrefix(text, "unknown shorthand flag: ") {
		if cmd.Name() == "render" {
			return missingPattern
		}
		return "unknown flag -" + strings.Trim(text[len("unknown shorthand flag: "):][:3], "'")
	}
	if name, ok := strings.CutPrefix(text, "flag needs an argument: "); ok {
		if i := strings.LastIndex(name, " in -"); i >= 0 { // 'o' in -o
			name = name[i+len(" in "):]
		}
		return name + " needs a value"
	}
	// pflag repeats the value and the flag before the reason that our own
	// options give: invalid argument "7" for "-r, --risers" flag: risers: ...
	i := strings.Index(text, "\" flag: ")
	if i < 0 || !strings.HasPrefix(text, "invalid argument ") {
		return text
	}
	flag := text[strings.LastIndex(text[:i], "--"):i]
	reason := strings.TrimPrefix(text[i+len("\" flag: "):], strings.TrimPrefix(flag, "--")+": ")
	value := text[len("invalid argument "):strings.LastIndex(text[:i], " for \"")]
	switch {
	case strings.HasPrefix(reason, "strconv.ParseInt: "):
		reason = value + " is not a whole number in range"
	case strings.HasPrefix(reason, "strconv.ParseBool: "):
		reason = value + " is neither true nor false"
	}
	return flag + ": " + reason
}

const missingPattern = "PATTERN is missing before the flags; `backporch list patterns` names them all"

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
			hint := ""
			if args[n] == "true" || args[n] == "false" {
				hint = "; a flag that is on or off takes its value as --flag=" + args[n]
			}
			return &usageError{fmt.Errorf("%q is one word too many%s", args[n], hint), cmd.CommandPath()}
		}
		return nil
	}
}

// spelled is for commands whose first word names something and whose others are
// options of it, NAME=VALUE.
func spelled(what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) == 0 {
			return exactly(1, what)(cmd, args)
		}
		return nil
	}
}

// patternNames lists the catalogue.
func patternNames() (names []string) {
	for _, e := range pattern.All() {
		names = append(names, e.Name)
	}
	return names
}

// completePattern offers the names of patterns to the shell.
func completePattern(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return patternNames(), cobra.ShellCompDirectiveNoFileComp
}
