package kit

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/device"
	"backporch/internal/render"
	"backporch/pattern"
)

// readme writes README.txt: plain words for whoever stands at the bench.
func (r *run) readme(w io.Writer, all []*made) error {
	var t textPage
	t.title(r.title())
	t.para(fmt.Sprintf("%s. Setup: %s. Screen %s. Made by %s.", r.scanInWords(), render.SetupName(r.Plan), r.aspect(), r.Program))
	if r.Device != nil {
		t.para(r.Device.Title + ".")
		for _, n := range r.Device.Notes {
			t.para(strings.TrimSuffix(n, ".") + ".")
		}
	}
	t.head("Cautions")
	for _, c := range r.cautions() {
		t.item(c)
	}
	t.head("How to copy the files")
	for _, s := range r.copying(all) {
		t.item(s)
	}
	t.head("How to set the player")
	for _, s := range r.settings() {
		t.item(s)
	}
	t.head("What cannot be shown")
	for _, s := range r.limits(all) {
		t.item(s)
	}
	t.head("Order of work")
	for i, s := range workOf(all) {
		text := fmt.Sprintf("%d. %s.", i+1, s.Title)
		if len(s.Pictures) > 0 {
			text += " " + counted("Picture", s.Pictures) + "."
		}
		if len(s.Earlier) > 0 {
			text += " Again " + spans(s.Earlier) + "."
		}
		text += " " + s.Do
		if s.After != "" {
			text += " Do first: " + s.After
		}
		t.para(text)
	}
	if r.Device != nil {
		t.head("How true each picture is")
		t.para("Of each picture the flat patch that is farthest off, with (!) where it is beyond " + limitsInWords(device.Unit(r.wires()[0])) + ": do not set levels or color by such a patch. readings.txt has them all.")
		for _, m := range all {
			t.item(m.honest())
		}
	}
	_, err := io.WriteString(w, t.String())
	return err
}

// copying says which files go where.
func (r *run) copying(all []*made) []string {
	var kinds []string
	for _, f := range all[0].files {
		kinds = append(kinds, "*"+extension(f.Name))
	}
	list := []string{
		fmt.Sprintf("Copy the numbered files (%s) to the card, stick, disc or folder from which the player reads, as they are. Do not let a program convert, resize or compress them on the way: no gallery, no messenger, no photo or video editor.", strings.Join(kinds, " and ")),
		"Keep their names: the numbers are the order of work, and most players list files by name.",
		"index.html, contact-sheet.png, README.txt, readings.txt, readings.csv and kit.json are for you and a computer; the player does not need them.",
	}
	if r.Device != nil && r.Device.ShortNames {
		list = append(list, "Names have eight characters and three, which the device asks for; index.html says which is which.")
	}
	if r.Device != nil && (r.Device.Framebuffer != nil || r.Device.Tiles != nil) {
		list = append(list, "Where the device runs programs from a cartridge or card, it needs one that shows pictures: these files are the data for it, not a program.")
	}
	if slices.Contains(r.formats, "y4m") {
		list = append(list, "Y4M videos hold plain samples and are not packed: the stick must be fast, or the player must read them from its own storage. Where a player does not take Y4M, pack them without loss and without changing size, rate, fields, levels or color samples.")
	}
	return list
}

// settings says what to choose on the player.
func (r *run) settings() []string {
	list := []string{
		fmt.Sprintf("Size: %d by %d, shown sample for sample and row for row. No scaling, zoom, crop, overscan correction or rotation.", r.Raster.Width, r.Raster.Height()),
		fmt.Sprintf("Scan: %d lines, %s, %.3f fields a second, the rate of the files. %s", r.Raster.Scan.System.Lines(), r.Raster.Order(), r.Raster.Scan.FieldRate().Float64(), r.fieldsInWords()),
		fmt.Sprintf("Shape of the screen: %s. No stretching, no bars at the sides.", r.aspect()),
	}
	var pictures, videos bool
	for _, n := range r.formats {
		pictures, videos = pictures || isStill(n), videos || !isStill(n)
	}
	if videos {
		list = append(list, "Range of videos: limited (8-bit codes 16 to 235), passed on as it is; nothing that expands, clips or stretches black.")
	}
	if pictures {
		list = append(list, "Range of pictures: full-range R'G'B', 0 to 255 for black to white. Choose that for pictures if the player asks; one that takes them for limited range crushes both ends.")
	}
	if !r.pixels() {
		list = append(list, "Matrix: ITU-R BT.601, the one of standard definition, also for pictures. That of BT.709 turns all hues and changes their amplitude.")
	}
	list = append(list, r.outputInWords())
	list = append(list, "Switch off: noise reduction, sharpening, dynamic contrast, film and color modes, smooth motion, cross-fades between pictures, energy saving and screen savers. Brightness, contrast, color and tint of the player stand at their middle.")
	return list
}

func (r *run) fieldsInWords() string {
	if r.Raster.Scan.Interlaced() {
		return "No deinterlacing: both fields must reach the output, the older one first."
	}
	return "It must leave the player without interlace, every row on the same line of each sweep."
}

// outputInWords says which output to use and with which setup.
func (r *run) outputInWords() string {
	setup := func(f *colorimetry.Family) string {
		if f.Interface == colorimetry.Composite && f.Lines == 525 {
			return fmt.Sprintf(", black %.1f IRE above blanking", round(float64(f.Black.IRE()), 10))
		}
		return ""
	}
	switch {
	case r.Plan.Player == nil:
		if r.Raster.Scan.System.Lines() == 525 {
			return "Output: any. Its setup (0 or 7.5 IRE) is the player's own, and readings.csv has both; the switch of the set must match it. Black on a scope tells which it is: 53.6 mV above blanking, or at it."
		}
		return "Output: any. Levels are the player's own; at 625 lines black lies at blanking."
	case r.Plan.Wire != nil && r.Plan.Wire != r.Plan.Player:
		return fmt.Sprintf("Output: %s%s as the player makes it of plain codes. The files are changed so that the cable carries %s%s: set the switch of the set to that.", r.Plan.Player.Title, setup(r.Plan.Player), r.Plan.Wire.Title, setup(r.Plan.Wire))
	}
	text := fmt.Sprintf("Output: %s%s.", r.Plan.Player.Title, setup(r.Plan.Player))
	if setup(r.Plan.Player) != "" {
		text += " Set the switch of the set to the same."
	}
	if r.Device != nil && len(r.Device.Outputs) > 1 {
		var others []string
		for _, f := range r.Device.Outputs {
			if f != r.Plan.Player {
				others = append(others, "--wire "+f.Name)
			}
		}
		text += " It has others, for which levels in mV differ: make a kit for each with " + strings.Join(others, " or ") + "."
	}
	return text
}

// limits says what the files or the device cannot show.
func (r *run) limits(all []*made) (list []string) {
	if r.Device != nil {
		list = append(list, r.detail(), r.summary(all))
		list = append(list, r.deviceLimits()...)
	} else {
		nyquist := r.Raster.Nyquist().Float64()
		list = append(list, fmt.Sprintf("Detail: the clock of %.5g MHz ends at %.3f MHz, %.0f TV lines; nothing finer can be judged with it.",
			r.Raster.Clock.Float64()/1e6, nyquist, r.Raster.Scan.System.TVLines(nyquist, r.Aspect)))
	}
	for _, m := range all {
		absent, video := m.absent()
		if n := missing(absent); n != "" {
			list = append(list, fmt.Sprintf("%02d %s: absent: %s.", m.Number, m.Spec, n))
		}
		if n := video.Names(); n != "" {
			list = append(list, fmt.Sprintf("%02d %s: absent in the picture: %s. Use the video.", m.Number, m.Spec, n))
		}
		if c := clippedIn(m); c != "" {
			list = append(list, fmt.Sprintf("%02d %s: clipped %s.", m.Number, m.Spec, c))
		}
		if m.files[0].Period > 1 && !r.videos() {
			list = append(list, fmt.Sprintf("%02d %s: moves; a picture shows frame 0 only.", m.Number, m.Spec))
		}
	}
	return list
}

// detail says what the finest detail is, and which tubes it cannot judge.
func (r *run) detail() string {
	reach := r.Device.Reach(r.Raster, r.Aspect, device.UsualTubes())
	words := reach.Words()
	text := "Detail: " + strings.Join(words[:min(2, len(words))], " ")
	if len(reach.Alike) > 0 {
		text += " `backporch reach` says what it would take."
	}
	return text
}

// deviceLimits are those of the device itself.
func (r *run) deviceLimits() (list []string) {
	d := r.Device
	if d.Pixels() {
		text := fmt.Sprintf("Color: %s, %d in all", d.Color.Form(), d.Color.Colors())
		if d.Color.AtOnce > 0 {
			text += fmt.Sprintf(", %d in a picture", d.Color.AtOnce)
		}
		dithered := "nothing is dithered"
		if r.Dither {
			dithered = "errors are spread over pixels, so that levels hold over areas only"
		}
		list = append(list, text+". Each level is the nearest that it has; "+dithered+".")
		if r.Edges == pattern.Hard {
			list = append(list, "Edges are those of its pixels, as fast as its output lets them: ringing beside them need not be the set's.")
		}
	}
	for _, v := range d.Verdicts() {
		if v.Wire == r.Plan.Player {
			list = append(list, v.Words)
		}
	}
	if !d.SubBlack {
		list = append(list, "Codes below black and above white do not reach its output: PLUGE shows nothing below black.")
	}
	if d.Matrix == device.Matrix709 && !d.Pixels() {
		list = append(list, "It makes Y'CbCr of pictures by the matrix of BT.709: the colors of pictures are off. Use the videos for color.")
	}
	if d.Scales {
		list = append(list, "It resizes pictures that are not of its own size; picture 01 shows whether it leaves these alone.")
	}
	return list
}

// summary says how many patches of the whole kit a device shows wrongly.
func (r *run) summary(all []*made) string {
	n, of := 0, 0
	for _, m := range all {
		n += m.beyond()
		for _, s := range m.spots {
			if s.deviations[0] != nil {
				of++
			}
		}
	}
	unit := device.Unit(r.wires()[0])
	if n == 0 {
		return fmt.Sprintf("All %d patches leave it within %s of what the standard wants.", of, strings.Replace(limitsInWords(unit), " or ", " and ", 1))
	}
	return fmt.Sprintf("%d of %d patches leave it more than %s off.", n, of, limitsInWords(unit))
}

// honest is one line on how true a picture is.
func (m *made) honest() string {
	text := fmt.Sprintf("%02d %s: ", m.Number, m.Spec)
	worst := m.worst()
	switch {
	case worst == nil:
		return text + "no patches with a level."
	case worst.off.Beyond():
		return text + fmt.Sprintf("(!) %s: worst %s, %s.", m.howMany(), worst.name(), worst.off.words())
	case worst.off.Size() < 0.05:
		return text + "true."
	}
	return text + fmt.Sprintf("within; worst %s, %s.", worst.name(), worst.off.words())
}

func extension(name string) string { return name[strings.LastIndexByte(name, '.'):] }
