package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"backporch/internal/typo"
)

const jobLong = `Keep the record of the work on one set, and say what comes next.

A job is a plain JSON file in a workshop folder. Every entry has its time and
stays for good: a correction is a new entry that names the old one. The order of
the work follows from what the set is; what was done again opens what rests on it.

Where --job does not name the job, BACKPORCH_JOB does, or it is the only one of
the folder. The folder is that of --bench, of BACKPORCH_BENCH, or backporch/bench
where the system keeps a user's data.`

// newJob returns the job command.
func newJob(s *Streams) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "job",
		Short: "The work on one set: order of steps, readings, record, sheet",
		Long:  jobLong + "\n\n" + caution,
		Example: `  backporch job new bench-a --tube shadow-mask --size 20in --inputs composite,rgb
  backporch job next                 what to do now, which pattern, what to look for
  backporch job done purity          it is done; what comes next
  backporch job measure gray         readings, against their tolerances
  backporch job show                 where the work stands
  backporch job sheet -o sheet.html  the sheet that goes with the set`,
		GroupID: "work",
		Args:    cobra.ArbitraryArgs,
	}
	cmd.AddCommand(jobCommands(s)...)
	var names []string
	for _, c := range cmd.Commands() {
		names = append(names, c.Name())
	}
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if len(args) == 0 {
			return cmd.Help()
		}
		return &usageError{fmt.Errorf("job has no command %q%s; use one of %s", args[0], typo.Suggest(args[0], names), strings.Join(names, ", ")), cmd.CommandPath()}
	}
	return cmd
}

// jobCommands are the commands of job.
func jobCommands(s *Streams) []*cobra.Command {
	return []*cobra.Command{
		newJobNew(s, nil),
		newJobList(s),
		newJobShow(s, nil),
		newJobNext(s, nil),
		newJobMeasure(s, nil),
		newJobDone(s, nil),
		newJobNote(s),
		newJobSet(s),
		newJobLimit(s),
		newJobStep(s),
		newJobCompare(s, nil),
		newJobSheet(s, nil),
		newJobWorkshop(s),
		newJobSchema(s),
	}
}
