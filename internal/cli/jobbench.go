package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"backporch/internal/job"
	"backporch/internal/typo"
	"backporch/pattern"
)

// The variables that stand for --bench and --job.
const (
	benchVariable = "BACKPORCH_BENCH"
	jobVariable   = "BACKPORCH_JOB"
)

// jobFlags say which job, in which folder. They mean the same with every
// command that works on one.
type jobFlags struct {
	Bench string
	Job   string
}

// add defines both flags.
func (j *jobFlags) add(cmd *cobra.Command) {
	j.addBench(cmd)
	cmd.Flags().StringVar(&j.Job, "job", "", "the job ("+jobVariable+", else the only one of the folder)")
	completeBy(cmd, "job", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return j.names(), cobra.ShellCompDirectiveNoFileComp
	})
}

// addBench defines --bench alone.
func (j *jobFlags) addBench(cmd *cobra.Command) {
	cmd.Flags().StringVar(&j.Bench, "bench", "", "folder with the jobs of the workshop ("+benchVariable+", else backporch/bench in the user's data folder)")
	completeBy(cmd, "bench", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return nil, cobra.ShellCompDirectiveFilterDirs
	})
}

// bench is the folder that the flags mean. It need not be there.
func (j *jobFlags) bench(s *Streams) (*job.Bench, error) {
	dir, err := benchFolder(j.Bench, runtime.GOOS, os.Getenv)
	if err != nil {
		return nil, err
	}
	if info, err := os.Stat(dir); err == nil && !info.IsDir() {
		return nil, usagef("%s is a file, and jobs are in a folder; name one with --bench DIR or in %s", dir, benchVariable)
	}
	return &job.Bench{Dir: dir, Now: s.Now}, nil
}

// benchFolder finds the folder: the flag, the variable, or where a system keeps
// a user's data: XDG Base Directory Specification 0.8; ~/Library/Application
// Support and %LocalAppData% from memory.
func benchFolder(flag, system string, env func(string) string) (string, error) {
	if flag != "" {
		return flag, nil
	}
	if dir := env(benchVariable); dir != "" {
		return dir, nil
	}
	var data string
	switch home := env("HOME"); system {
	case "windows":
		data = env("LocalAppData")
	case "darwin", "ios":
		if home != "" {
			data = filepath.Join(home, "Library", "Application Support")
		}
	default:
		// The specification has relative paths ignored.
		if data = env("XDG_DATA_HOME"); !filepath.IsAbs(data) {
			data = ""
			if home != "" {
				data = filepath.Join(home, ".local", "share")
			}
		}
	}
	if data == "" {
		return "", usagef("no folder for jobs: the system names no home folder; name one with --bench DIR or in %s", benchVariable)
	}
	return filepath.Join(data, "backporch", "bench"), nil
}

// name is the job that the flags mean. word is one that was given as a word of
// its own, or "".
func (j *jobFlags) name(s *Streams, word string) (string, error) {
	if word != "" && j.Job != "" && word != j.Job {
		return "", usagef("%q and --job %s both name a job; give one of them", word, j.Job)
	}
	for _, n := range []string{word, j.Job, os.Getenv(jobVariable)} {
		if n == "" {
			continue
		}
		if err := job.CheckName(n); err != nil {
			return "", &usageError{err: err}
		}
		return n, nil
	}
	b, err := j.bench(s)
	if err != nil {
		return "", err
	}
	names := j.names()
	if len(names) != 1 { // other files may be among them, or the folder cannot be read
		jobs, broken, err := b.List()
		switch {
		case err != nil:
			return "", err
		case len(jobs) == 1 && len(broken) == 0:
			return jobs[0].Name, nil
		}
	}
	switch len(names) {
	case 1:
		return names[0], nil
	case 0:
		return "", usagef("there is no job in %s; `backporch job new NAME` begins one, --bench names another folder", b.Dir)
	default:
		return "", usagef("which job is meant is not said: %s has %s; name one with --job, or in %s", b.Dir, strings.Join(names, ", "), jobVariable)
	}
}

// names lists the jobs of the folder by their files, damaged ones too, and those
// of which the good copy alone is left, NAME.json.good; nothing is read.
func (j *jobFlags) names() (names []string) {
	dir, err := benchFolder(j.Bench, runtime.GOOS, os.Getenv)
	if err != nil {
		return nil
	}
	files, err := os.ReadDir(dir)
	if err != nil {
		return nil
	}
	for _, f := range files {
		name, ok := strings.CutSuffix(strings.TrimSuffix(f.Name(), ".good"), ".json")
		if ok && job.CheckName(name) == nil && !f.IsDir() {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// jobWork is a job as it stands: read, planned and judged.
type jobWork struct {
	*job.Job
	Bench    *job.Bench
	Workshop *job.Workshop // nil for none
	Plan     *job.Plan
	States   []job.StepState
}

// open reads the job that the flags mean, and says where its steps stand.
func (j *jobFlags) open(s *Streams, word string) (*jobWork, error) {
	name, err := j.name(s, word)
	if err != nil {
		return nil, err
	}
	w := &jobWork{}
	if w.Bench, err = j.bench(s); err != nil {
		return nil, err
	}
	if w.Job, err = w.Bench.Open(name); err != nil {
		return nil, j.missing(w.Bench, name, err)
	}
	if w.Workshop, err = readWorkshop(w.Bench); err != nil {
		return nil, err
	}
	return w, w.stand()
}

// missing says of a job that is not there which ones are, and of what was typed
// that it is wrong; other errors stay as they are.
func (j *jobFlags) missing(b *job.Bench, name string, err error) error {
	if field := (*job.FieldError)(nil); errors.As(err, &field) {
		return &usageError{err: err} // what was typed cannot be recorded
	}
	if corrects := (*job.CorrectsError)(nil); errors.As(err, &corrects) {
		return &usageError{err: fmt.Errorf("--corrects: %w", err)}
	}
	var path *fs.PathError
	if !errors.Is(err, fs.ErrNotExist) || errors.As(err, &path) && path.Path != filepath.Join(b.Dir, name+".json") {
		return err
	}
	names := j.names()
	way := "`backporch job new " + name + "` begins it, --bench names another folder"
	if len(names) > 0 {
		way = "it has " + strings.Join(names, ", ")
	}
	if j.Job == "" && name == os.Getenv(jobVariable) {
		way += "; " + jobVariable + " names that job"
	}
	return usagef("there is no job %q in %s%s; %s", name, b.Dir, typo.Suggest(name, names), way)
}

// stand computes the plan and the states anew, after entries were added.
func (w *jobWork) stand() (err error) {
	if w.Plan, err = w.Job.Plan(w.Workshop); err != nil {
		return fmt.Errorf("job %s: %w", w.Name, err)
	}
	w.States = w.Plan.States(w.Entries)
	return nil
}

// workshop is the folder, with what its own file adds to every plan.
func (j *jobFlags) workshop(s *Streams) (*job.Bench, *job.Workshop, error) {
	b, err := j.bench(s)
	if err != nil {
		return nil, nil, err
	}
	w, err := readWorkshop(b)
	return b, w, err
}

// readWorkshop reads the workshop's own file; nil where there is none.
func readWorkshop(b *job.Bench) (*job.Workshop, error) {
	path := filepath.Join(b.Dir, job.WorkshopFile)
	data, err := os.ReadFile(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		var p *fs.PathError
		if errors.As(err, &p) {
			err = p.Err
		}
		return nil, fmt.Errorf("the workshop's own file %s, which every job of the folder follows, cannot be read: %w; see to its permissions", path, err)
	}
	w, err := job.ParseWorkshop(data, path)
	if err != nil {
		return nil, fmt.Errorf("the workshop's own file, which every job of the folder follows: %w", err)
	}
	for i := range w.Steps {
		if err := checkPatterns(path, &w.Steps[i]); err != nil {
			return nil, err
		}
	}
	return w, nil
}

// checkPatterns says which pattern of a step of the user's own cannot be.
func checkPatterns(path string, s *job.Step) error {
	for _, spec := range stepPatterns(s) {
		if _, err := pattern.Parse(spec); err != nil {
			return fmt.Errorf("%s, step %s: %w", path, s.Key, err)
		}
	}
	return nil
}

// state is that of a step of the plan, by its key.
func (w *jobWork) state(key string) (*job.StepState, error) {
	var keys []string
	for i := range w.States {
		if w.States[i].Key == key {
			return &w.States[i], nil
		}
		keys = append(keys, w.States[i].Key)
	}
	return nil, usagef("job %s has no step %q%s; `backporch job next%s --all` lists its steps", w.Name, key, typo.Suggest(key, keys), w.flag())
}
