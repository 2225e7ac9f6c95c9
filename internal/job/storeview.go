package job

// Counting returns the entries that no later one corrects, oldest first, those
// of kinds that this program does not know among them. An entry that has been
// corrected never counts again, even if its correction is corrected: that one
// says what holds instead.
func (j *Job) Counting() []Entry { return counting(j.Entries) }

func counting(all []Entry) []Entry {
	gone := make(map[int]bool)
	for i := range all {
		if c := all[i].Corrects; c != 0 {
			gone[c] = true
		}
	}
	var rest []Entry
	for i := range all {
		if !gone[all[i].ID] {
			rest = append(rest, all[i])
		}
	}
	return rest
}

// holdsSet says whether a description counts.
func holdsSet(all []Entry) bool { return lastSet(all) != nil }

func lastSet(all []Entry) *Set {
	var set *Set
	for _, e := range counting(all) {
		if e.Kind == KindSet {
			set = e.Set
		}
	}
	return set
}

// Set returns the description that counts. A job that was read has one.
func (j *Job) Set() *Set { return lastSet(j.Entries) }

// Latest returns the last measurement of a kind that counts: at that stage, or
// at any if stage is "", and of that input, or of any if it is "".
func (j *Job) Latest(w What, s Stage, input string) (*Entry, bool) {
	var last *Entry
	all := j.Counting()
	for i := range all {
		e := &all[i]
		if e.Kind == KindMeasure && e.Measure.What == w && (s == "" || e.Measure.Stage == s) && (input == "" || e.Measure.Input == input) {
			last = e
		}
	}
	return last, last != nil
}
