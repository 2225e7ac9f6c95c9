package kit

import "fmt"

// A work is a step with its pictures in a kit.
type work struct {
	step
	Pictures []*made
	Earlier  []*made // pictures of earlier steps that serve again
}

// workOf returns the steps for which a kit has pictures, in order.
func workOf(all []*made) (list []work) {
	of := make([][]*made, len(steps))
	for _, m := range all {
		of[m.Step] = append(of[m.Step], m)
	}
	for i, s := range steps {
		w := work{step: s, Pictures: of[i]}
		for _, key := range s.Again {
			w.Earlier = append(w.Earlier, of[stepIndex(key)]...)
		}
		if len(w.Pictures)+len(w.Earlier) > 0 {
			list = append(list, w)
		}
	}
	return list
}

// counted puts the word for pictures before their numbers.
func counted(what string, all []*made) string {
	if len(all) != 1 {
		what += "s"
	}
	return what + " " + spans(all)
}

// spans writes the numbers of pictures as ranges: "09 to 14, 52".
func spans(all []*made) (text string) {
	for i := 0; i < len(all); {
		j := i
		for j+1 < len(all) && all[j+1].Number == all[j].Number+1 {
			j++
		}
		if text != "" {
			text += ", "
		}
		text += fmt.Sprintf("%02d", all[i].Number)
		if j > i {
			text += fmt.Sprintf(" to %02d", all[j].Number)
		}
		i = j + 1
	}
	return text
}
