package render

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/format"
	"backporch/pattern"
)

// A Lost patch is not in the file as the pattern defines it.
type Lost struct {
	Patch   pattern.Patch
	Clipped bool // the plan put it out of reach; else the coding has nothing like it
	Reason  string
}

// A LostList is the lost patches of a file.
type LostList []Lost

// Clipped returns the patches that were clipped, or those that were replaced.
func (l LostList) Clipped(clipped bool) (list LostList) {
	for _, x := range l {
		if x.Clipped == clipped {
			list = append(list, x)
		}
	}
	return list
}

// Names names the patches, with commas between them.
func (l LostList) Names() string {
	var names []string
	for _, x := range l {
		names = append(names, x.Patch.Name)
	}
	return strings.Join(names, ", ")
}

// ByWay divides the list by the way out that the patches name, in their order.
func (l LostList) ByWay() (lists []LostList) {
	at := map[string]int{}
	for _, x := range l {
		i, ok := at[x.Patch.Way]
		if !ok {
			i = len(lists)
			at[x.Patch.Way] = i
			lists = append(lists, nil)
		}
		lists[i] = append(lists[i], x)
	}
	return lists
}

// A RangeError reports the patches that the plan puts out of the format's
// reach. With Clip the same request works, and reports them as lost.
type RangeError struct {
	Format *format.Format
	Plan   colorimetry.Plan
	Lost   LostList // the one with the lowest luma first
}

// Error names the lowest level that cannot be reached, and the way out.
func (e *RangeError) Error() string {
	more := ""
	if n := len(e.Lost) - 1; n == 1 {
		more = " (and so for 1 more patch)"
	} else if n > 1 {
		more = fmt.Sprintf(" (and so for %d more patches)", n)
	}
	return fmt.Sprintf("%s, patch %q: %s%s\n%s, or use --clip to accept the nearest levels", e.Format.Name, e.Lost[0].Patch.Name, e.Lost[0].Reason, more, e.wayOut())
}

func (e *RangeError) wayOut() string {
	switch {
	case e.Plan.Wire != nil && e.Plan.Wire.Interface == colorimetry.Composite:
		return "ask for the setup that the player adds"
	case e.Format.Coding.Model == colorimetry.RGB:
		return "use a Y'CbCr format such as y4m, which reaches further"
	default:
		return "take a pattern of lower levels, such as 75 % bars, or a player whose levels are nearer"
	}
}

// reach fills Lost. A patch that is a substitute already is not reported a
// second time when the plan clips the substitute.
func (j *Job) reach() error {
	var clipped LostList
	for _, p := range j.Scene.Patches {
		if p.Absent != "" {
			j.Lost = append(j.Lost, Lost{Patch: p, Reason: p.Absent})
			continue
		}
		for _, s := range []colorimetry.Signal{p.Want, p.To} {
			if _, err := j.Plan.File(s, j.Format.Coding); err != nil {
				clipped = append(clipped, Lost{p, true, err.Error()})
				break
			}
		}
	}
	slices.SortStableFunc(clipped, func(a, b Lost) int {
		return cmp.Compare(min(a.Patch.Want.Y, a.Patch.To.Y), min(b.Patch.Want.Y, b.Patch.To.Y))
	})
	if len(clipped) > 0 && !j.Clip {
		return &RangeError{j.Format, j.Plan, clipped}
	}
	j.Lost = append(append(j.Lost, clipped...), j.dropped()...)
	return nil
}
