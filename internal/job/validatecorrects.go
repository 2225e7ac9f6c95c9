package job

import "fmt"

// A CorrectsError reports an entry that cannot be corrected, or not like that.
// Nothing was written.
type CorrectsError struct {
	Entry  int
	Reason string // with the way out
}

// Error implements error.
func (e *CorrectsError) Error() string {
	return fmt.Sprintf("entry %d cannot be corrected: %s; nothing was written", e.Entry, e.Reason)
}

// corrects says why an entry cannot correct what it says it does.
func corrects(all []Entry, e Entry) error {
	if e.Corrects == 0 {
		return nil
	}
	fail := func(format string, args ...any) error {
		return &CorrectsError{e.Corrects, fmt.Sprintf(format, args...)}
	}
	if e.Corrects < 0 || e.Corrects > len(all) {
		return fail("the record has the entries 1 to %d; `backporch job show --entries` lists them", len(all))
	}
	for i := range all {
		if all[i].Corrects == e.Corrects {
			return fail("entry %d has corrected it already; correct that one", all[i].ID)
		}
	}
	target := all[e.Corrects-1]
	switch {
	case e.Kind != target.Kind && e.Kind != KindNote:
		return fail("it is of the kind %q, which an entry of that kind or a note can correct, and this one is of the kind %q", target.Kind, e.Kind)
	case !holdsSet(append(all[:len(all):len(all)], e)):
		return fail("it is the only description of the set, which a note cannot withdraw; describe the set anew with `backporch job set`")
	}
	return nil
}
