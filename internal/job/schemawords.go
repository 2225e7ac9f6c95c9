package job

import "strings"

// schemaWords says of each key what it means, and its unit.
func schemaWords() map[string]string {
	or := func(words []string) string { return strings.Join(words, ", ") }
	var whats []string
	for _, w := range Whats() {
		whats = append(whats, string(w))
	}
	return map[string]string{
		"Entry.id":       "1, 2, 3 ... in order, without gaps",
		"Entry.time":     "when it was made, UTC, RFC 3339: 2026-11-25T14:02:00Z",
		"Entry.kind":     "set, done, note, measure, step, limit",
		"Entry.program":  "what made it, with its version",
		"Entry.by":       "who worked",
		"Entry.corrects": "id of the entry that this one replaces",
		"Entry.text":     "words of a note; a remark on any other entry",
		"Entry.set":      "with the kind set",
		"Entry.done":     "with the kind done",
		"Entry.measure":  "with the kind measure",
		"Entry.step":     "with the kind step",
		"Entry.limit":    "with the kind limit",

		"Set.label":                  "what is written on the set",
		"Set.tube":                   or(Tubes()),
		"Set.guns":                   or(GunsNames()),
		"Set.diagonal_mm":            "of the visible screen, mm; left out if not known",
		"Set.aspect":                 "4:3, 16:9",
		"Set.inputs":                 "the inputs that are used, in the order given",
		"Set.scan":                   "480i, 240p, 576i or 288p, where the raster is a device's own and its name does not say it",
		"Set.raster":                 "as backporch list rasters has it",
		"Set.device":                 "what plays: as backporch list devices has it, or a profile's path",
		"Set.setup":                  "black that the set is switched to: 0, 7.5 (IRE), as-player",
		"Set.player_setup":           "what the player adds: 0, 7.5 (IRE); left out if not known",
		"Set.target_white":           "a white's name, or x,y",
		"Set.primaries":              "a name, or the chromaticities of red, green and blue",
		"Set.target_luminance_cd_m2": "light of white, cd/m2; 0 for that of the class",
		"Set.class":                  or(Classes()) + ": the class of tolerance",
		"Set.live_chassis":           "the chassis is, or may be, connected to the mains",
		"Set.remarks":                "anything else",

		"Input.name": "unique in the set, such as video-1",
		"Input.wire": or(Wires()),

		"Done.step":     "key of the step",
		"Done.adjusted": "what was moved",
		"Done.outcome":  or(Outcomes()),
		"Done.again":    "the loop that the step ends has to be gone through once more",

		"Measurement.what":       or(whats),
		"Measurement.stage":      "before, after the work; left out on the way",
		"Measurement.input":      "name of the input that was used",
		"Measurement.instrument": "what read it",
		"Measurement.pattern":    "spelling of what was shown",
		"Measurement.invented":   "made up for an example: no set was measured",
		"Measurement.light":      "with gray, guns, uniformity",
		"Measurement.controls":   "where the set's controls stood",
		"Measurement.rulers":     "with geometry",
		"Measurement.edges":      "with geometry",
		"Measurement.offsets":    "with convergence",
		"Measurement.grades":     "with purity, focus",
		"Measurement.bars":       "with chroma",
		"Measurement.sizes":      "with regulation",
		"Measurement.source":     "with source",

		"Light.level_percent": "of the signal, %: 0 black, 100 white",
		"Light.name":          "of the gun's field or the zone; left out for a gray step",
		"Light.X_cd_m2":       "tristimulus X, CIE 1931, cd/m2",
		"Light.Y_cd_m2":       "tristimulus Y, CIE 1931, cd/m2: luminance",
		"Light.Z_cd_m2":       "tristimulus Z, CIE 1931, cd/m2",
		"Light.given":         "as it was typed, such as xyY 0.3127 0.329 80",

		"Control.name":  "such as red-drive",
		"Control.value": "in the control's own units",

		"Ruler.column":    "vertical line, from 0, the middle one; left negative",
		"Ruler.row":       "horizontal line, from 0, the middle one; up negative",
		"Ruler.across_mm": "from the left edge of the visible screen, mm; left out if not read",
		"Ruler.down_mm":   "from the upper edge of the visible screen, mm; left out if not read",

		"Edges.width_mm":  "mm",
		"Edges.height_mm": "mm",

		"Offset.zone":     "where on the screen",
		"Offset.gun":      "red, blue",
		"Offset.right_mm": "how far right of the green line, mm; left negative",
		"Offset.down_mm":  "how far below the green line, mm; up negative",
		"Offset.given":    "as it was judged, where that was in widths of a scan line, such as 1.5 0 lines",

		"Grade.zone":  "where on the screen",
		"Grade.field": "the color that was shown, for purity",
		"Grade.grade": "5 imperceptible ... 1 very annoying (ITU-R BT.500)",
		"Grade.text":  "what was seen",

		"Bar.name":        "such as gray, cyan, magenta, blue",
		"Bar.light_cd_m2": "by meter: luminance, cd/m2",
		"Bar.than":        "by eye: the other bar of the pair",
		"Bar.looks":       "by eye: brighter, equal, darker than that one",

		"Size.level_percent": "mean level of the picture, %",
		"Size.width_mm":      "of the picture, mm",
		"Size.height_mm":     "of the picture, mm",

		"Check.verdict":  "as backporch check gives it",
		"Check.sentence": "the verdict in words",
		"Check.pattern":  "spelling of what was checked",
		"Check.file":     "what was checked",
		"Check.findings": "what was found, a sentence each",

		"Step.key":      "unique in the plan",
		"Step.title":    "a few words",
		"Step.input":    "name of the input, where the step is of one",
		"Step.pattern":  "spelling, as backporch render takes it",
		"Step.more":     "further patterns, spelled likewise",
		"Step.do":       "what to do, in order",
		"Step.look":     "what to look for",
		"Step.adjust":   "with which kind of control",
		"Step.measure":  "the kind of readings that belong to it, as in measure.what",
		"Step.limits":   "keys of the tolerances that it is held to",
		"Step.after":    "what must be done before, and why",
		"Step.before":   "of a step of the user's own: which steps must come after it, and why",
		"Step.again":    "what is opened once more when the loop is gone through again",
		"Step.cautions": "keys of the cautions",
		"Step.source":   "document and clause, or common practice",
		"Step.own":      "true: added by the user",

		"Need.step": "key of the other step",
		"Need.why":  "the reason",

		"Limit.key":    "such as white-point",
		"Limit.name":   "for people",
		"Limit.unit":   "of min and max",
		"Limit.min":    "least value; left out for none",
		"Limit.max":    "largest value; left out for none",
		"Limit.source": "document and clause, common practice, or memory",
		"Limit.own":    "true: the user's own",
	}
}
