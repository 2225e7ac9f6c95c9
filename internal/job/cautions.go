package job

// The keys of the cautions.
const (
	CautionEHT       = "high-voltage"
	CautionCharge    = "stored-charge"
	CautionHot       = "live-chassis"
	CautionImplosion = "implosion"
	CautionXRay      = "x-radiation"
	CautionStill     = "bright-stills"
	CautionFlashing  = "flashing"
	CautionField     = "magnetic-field"
	CautionAlone     = "working-alone"
)

// AllCautions returns every caution. Each ends with who has the last word: the
// maker's service data, local codes, and people trained and licensed for the
// work.
func AllCautions() []Caution {
	return []Caution{
		{CautionEHT, "High voltage at the tube",
			"A running set has some 25 kV at the anode of the tube (12 to 30 kV by its size), several kV at the focus control and some hundred volts at the screen control and the tube's base, and pulses of a thousand volts at the yoke. " +
				"Use insulated tools, keep one hand away from the set, and touch no more than the control. An isolation transformer does not protect against this voltage. " +
				"Do not go inside unless you are trained for it and local codes allow it; the maker's service data say where it is safe to measure.",
			"a university's guide to monitors (secondary); voltages of focus, screen and yoke memory"},
		{CautionCharge, "Charge that stays",
			"The tube holds its charge for an hour or longer after the set is unplugged, and some of it comes back after discharging. " +
				"Before you touch anode, base or flyback: unplug, discharge the anode to the tube's outer coating through a resistor on an insulated lead, wait, and do it once more, as the maker's service data say. " +
				"If you have not been taught how, or local codes ask for more, leave it to somebody licensed for this work.",
			"a university's guide to monitors (secondary); an equipment manual's safety page; an installation guide for the recovery"},
		{CautionHot, "Chassis connected to the mains",
			"The chassis of this set is, or may be, connected to the mains. Run it from an isolation transformer before you touch it inside or connect an instrument to it, work with one hand, and never clip the ground lead of an oscilloscope to it without the transformer. " +
				"The transformer does not protect against the high voltage of the tube. The maker's service data name the grounds; local codes say who may work on live sets, and nobody should who is not trained for it.",
			"a service community's safety guide (secondary)"},
		{CautionImplosion, "Implosion",
			"The tube is evacuated, and its neck is the weakest place. Wear eye protection, put no force on neck, rings or base, never lift a tube by its neck, and keep tools from falling on it. " +
				"Handling a tube is work for those who are trained for it, by the maker's service data and local codes.",
			"a university's guide to monitors (secondary); equipment manuals' safety pages"},
		{CautionXRay, "X-radiation",
			"Too high a voltage at the anode makes X-radiation. It is limited to 0.5 mR/h at 5 cm from any surface that can be touched. " +
				"Keep the high voltage at or below its rated value, check it with a calibrated meter, fit only the specified tube, and never defeat the circuit that shuts the set down. " +
				"Rated value and test are in the maker's service data; local codes bind, and this adjustment is for licensed service.",
			"NCRP statements 2 (1960) and 3 (1968); service-safety sheets; the limit as in 21 CFR 1020.10 (clause head read, its figure memory)"},
		{CautionStill, "Bright still pictures",
			"Bright lines and fields that stand still burn into the phosphor. Take the picture off when you have read it, and turn contrast down meanwhile. " +
				"The maker's service data say how bright the tube may be. Changing that limit also touches the one of X-radiation: it is for people trained for it, under local codes.",
			"memory"},
		{CautionFlashing, "Flashing and flickering",
			"This picture flickers or changes its level over a large area, which can set off seizures in people with photosensitive epilepsy, also in some who do not know that they have it. " +
				"Warn all who can see the screen, look away or stop at the first discomfort. Where local codes or the maker's service data warn of it more strongly, follow them, and in a public room let somebody trained in first aid be near.",
			"common practice"},
		{CautionField, "Field of a degaussing coil",
			"A hand-held coil makes a strong alternating field and gets hot. Keep it away from people with pacemakers and other implants, from tapes, disks, loudspeakers and cards, and do not leave it on longer than its maker allows. " +
				"The maker's service data say how the set itself is degaussed; a coil on the mains has to meet local codes and is for people trained in its use, licensed where that is asked for.",
			"memory"},
		{CautionAlone, "Not alone",
			"Do not work on an open, running set alone: somebody who can switch off the mains and get help should be in the room. " +
				"Where the maker's service data or local codes ask for a licensed technician, let one do it.",
			"a service community's safety guide (secondary)"},
	}
}

func cautionKeys() (keys []string) {
	for _, c := range AllCautions() {
		keys = append(keys, c.Key)
	}
	return keys
}

// A place is where the hands are in a step; it decides which cautions stand
// with it, the nearest hazard first.
type place int

const (
	outside     place = iota // controls at the front or in a menu
	neck                     // rings, magnets, yoke: at the tube's neck
	flyback                  // focus and screen controls: beside the flyback or at the tube's base
	board                    // trimmers on a board of the open set
	cable                    // an instrument at the cable between source and set
	highVoltage              // where the high voltage itself is judged
)

// cautionsAt returns the keys of the cautions of a place.
func cautionsAt(set *Set, p place) (keys []string) {
	switch p {
	case neck:
		keys = []string{CautionImplosion, CautionEHT}
	case flyback:
		keys = []string{CautionEHT, CautionImplosion}
	case board:
		keys = []string{CautionEHT}
	case highVoltage:
		keys = []string{CautionXRay, CautionEHT}
	case cable:
		if set.Hot {
			return []string{CautionHot}
		}
		return nil
	case outside:
		return nil
	}
	if set.Hot {
		keys = append(keys, CautionHot)
	}
	return append(keys, CautionCharge, CautionAlone)
}
