package colorimetry

import "strings"

const (
	white140 = 100 * millivoltPerIRE // 714.286 mV
	setup140 = 7.5 * millivoltPerIRE // 53.571 mV
	sync140  = -40 * millivoltPerIRE // -285.714 mV
)

// families is the level table. IRE figures are exact; 100 IRE is 714.286 mV.
var families = []*Family{
	{Name: "composite-m", Title: "composite with 7.5 IRE setup", Interface: Composite, Lines: 525,
		Black: setup140, White: white140, Sync: sync140, Burst: 40 * millivoltPerIRE, ku: ku525, kv: kv525,
		Source: "SMPTE 170M-2004 table 1"},
	{Name: "composite-j", Title: "composite without setup", Interface: Composite, Lines: 525,
		Black: 0, White: white140, Sync: sync140, Burst: 40 * millivoltPerIRE, ku: ku525, kv: kv525,
		Source: "ITU-R BT.1700 Annex 1 Part A note 1"},
	{Name: "pal", Title: "PAL composite", Interface: Composite, Lines: 625,
		Black: 0, White: 700, Sync: -300, Burst: 300, ku: ku625, kv: kv625,
		Source: "ITU-R BT.1700 Annex 1 Part B table 2"},
	{Name: "component-n10", Title: "component N10", Interface: ComponentYPbPr,
		Black: 0, White: 700, Sync: -300, Chroma: 700,
		Source: "EBU N10 levels as printed in an equipment manual; 100 % excursion secondary"},
	{Name: "component-betacam", Title: "component Betacam with setup", Interface: ComponentYPbPr, Lines: 525,
		Black: setup140, White: white140, Sync: sync140, Chroma: 2800.0 / 3,
		Source: "luma and sync: Poynton 2003; chroma secondary (700 mV at 75 %)"},
	{Name: "component-betacam-zero", Title: "component Betacam without setup", Interface: ComponentYPbPr, Lines: 525,
		Black: 0, White: white140, Sync: sync140, Chroma: 2800.0 / 3 / 0.925, // 756.8 mV at 75 %
		Source: "memory; chroma is 933.3 / 0.925"},
	// 625-line equipment was made for these levels before it moved to N10.
	{Name: "component-betacam-700", Title: "component Betacam without setup, 700 mV", Interface: ComponentYPbPr,
		Black: 0, White: 700, Sync: -300, Chroma: 2800.0 / 3,
		Source: "a broadcast equipment manual's table (75 %); 100 % excursion and its life on 625 lines secondary"},
	{Name: "component-mii", Title: "component MII with setup", Interface: ComponentYPbPr, Lines: 525,
		Black: setup140, White: white140, Sync: sync140, Chroma: 700 * 0.925,
		Source: "memory; chroma is 0.925 of N10"},
	{Name: "rgb-700", Title: "RGB 700 mV", Interface: ComponentRGB,
		Black: 0, White: 700, Sync: -300,
		Source: "SMPTE 170M-2004 Annex B figure"},
	{Name: "rgb-714", Title: "RGB 714 mV", Interface: ComponentRGB, Lines: 525,
		Black: 0, White: white140, Sync: sync140,
		Source: "Poynton 2003"},
}

// Families returns the level table in listing order. The slice is the
// caller's; the families are shared and must not be changed.
func Families() []*Family { return append([]*Family(nil), families...) }

// LookupFamily returns the family of that name, or nil.
func LookupFamily(name string) *Family {
	for _, f := range families {
		if strings.EqualFold(f.Name, name) {
			return f
		}
	}
	return nil
}

// Families that code refers to by name.
var (
	CompositeM = LookupFamily("composite-m")
	CompositeJ = LookupFamily("composite-j")
	PAL        = LookupFamily("pal")
)
