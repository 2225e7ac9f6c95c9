package arch

// rule is what one package may import, besides the standard library.
type rule struct {
	// may lists packages of this module by their path below its root; a last
	// element * stands for every package in that folder, a lone * for every
	// package that is not for tests only.
	may []string
	// outside lists modules of others, by import path or a folder of it.
	outside []string
	// never lists packages of the standard library, with all below them, that
	// would give this package a task that is not its own.
	never []string
	// testsOnly marks a helper that nothing but tests may import.
	testsOnly bool
}

// The core: what T, C, F, P stand for in the table of imports.
const (
	timing      = "timing"
	colorimetry = "colorimetry"
	frame       = "pattern/frame"
	pattern     = "pattern"
)

// noFiles is refused to whatever computes: it is given its input and hands on
// its output, and runs the same in a test, a command or a page.
var noFiles = []string{"os", "io/fs", "net", "syscall", "log"}

// policy has a row for each package, by its path below the module's root. A
// row that ends in * speaks for every package in that folder.
var policy = map[string]rule{
	// The library: three nouns that a technician knows.
	timing:      {never: append([]string{"image", "io"}, noFiles...)},
	colorimetry: {outside: []string{"github.com/lucasb-eyer/go-colorful"}, never: noFiles},
	frame:       {may: []string{timing, colorimetry}, never: noFiles},
	pattern:     {may: []string{timing, colorimetry, frame, "internal/typo"}, outside: []string{"golang.org/x/image/font"}, never: noFiles},

	// Leaning on nothing.
	"internal/output": {outside: []string{"golang.org/x/sys"}},
	"internal/table":  {outside: []string{"github.com/rivo/uniseg"}, never: noFiles},
	"internal/draw":   {outside: []string{"golang.org/x/image"}, never: noFiles},
	"internal/ffmpeg": {},
	"internal/typo":   {never: append([]string{"io"}, noFiles...)},
	"internal/sinc":   {never: append([]string{"io"}, noFiles...)},

	// Sound beside pictures.
	"internal/tone": {may: []string{timing}, never: append([]string{"io"}, noFiles...)},

	// Modes for the display outputs of computers.
	"internal/modeline": {may: []string{timing, colorimetry}, never: append([]string{"io"}, noFiles...)},

	// From samples to files.
	"internal/pixfmt":   {may: []string{timing, colorimetry, frame}, never: append([]string{"io", "bufio"}, noFiles...)},
	"internal/encode/*": {may: []string{timing, colorimetry, frame, "internal/pixfmt"}, outside: []string{"golang.org/x/image"}, never: noFiles},
	// Rendered without a format of its own: it is a set of files.
	"internal/encode/devicedata": {may: []string{"internal/pixfmt"}, never: noFiles},
	"internal/format":            {may: []string{timing, colorimetry, frame, "internal/pixfmt", "internal/encode/*"}, never: noFiles},
	"internal/ingest": {may: []string{timing, colorimetry, frame, "internal/pixfmt", "internal/format", "internal/encode/*", "internal/sinc",
		"internal/composite", "internal/wavefile", "internal/ffmpeg"},
		outside: []string{"golang.org/x/image"}, never: noFiles},

	// From the definition to numbers and sets of files.
	"internal/readings":  {may: []string{timing, colorimetry, pattern}, never: noFiles},
	"internal/composite": {may: []string{timing, colorimetry, frame}, never: append([]string{"io"}, noFiles...)},
	"internal/wavefile":  {may: []string{timing, colorimetry, frame, "internal/composite", "internal/encode/*"}, never: noFiles},
	"internal/tube":      {may: []string{colorimetry, frame, "internal/composite"}, never: noFiles},
	"internal/scope":     {may: []string{timing, colorimetry, frame, "internal/composite", "internal/draw", "internal/sinc"}, never: noFiles},
	"internal/compare": {may: []string{timing, colorimetry, frame, pattern,
		"internal/composite", "internal/tube", "internal/readings", "internal/draw", "internal/table"}, never: noFiles},
	"internal/trace": {may: []string{timing, colorimetry, frame, pattern, "internal/readings", "internal/composite", "internal/sinc"}, never: noFiles},
	"internal/device": {may: []string{timing, colorimetry, frame, pattern, "internal/typo", "internal/pixfmt", "internal/readings"},
		outside: []string{"github.com/pelletier/go-toml/v2"}, never: noFiles},
	"internal/render": {may: []string{timing, colorimetry, frame, pattern, "internal/pixfmt", "internal/format", "internal/device", "internal/encode/devicedata"}},
	"internal/kit": {may: []string{timing, colorimetry, frame, pattern, "internal/typo",
		"internal/render", "internal/format", "internal/device", "internal/readings", "internal/draw", "internal/table", "internal/output"}},

	// From a capture to a verdict.
	"internal/measure": {may: []string{timing, colorimetry, frame, pattern, "internal/readings"}, never: noFiles},
	"internal/check": {may: []string{timing, colorimetry, frame, pattern,
		"internal/measure", "internal/ingest", "internal/readings", "internal/trace", "internal/draw", "internal/table"}, never: noFiles},

	// Files for real players, by an installed encoder; it starts programs and has
	// its files beside the target until they are proved.
	"internal/deliver": {may: []string{timing, colorimetry, frame, pattern, "internal/typo",
		"internal/pixfmt", "internal/render", "internal/format", "internal/device", "internal/ingest", "internal/measure",
		"internal/tone", "internal/encode/*", "internal/ffmpeg", "internal/table", "internal/output"}},

	// The work on a set: what was read, what it means, and the record of it.
	"internal/meter":    {may: []string{colorimetry}, never: noFiles},
	"internal/white":    {may: []string{colorimetry}, never: append([]string{"io"}, noFiles...)},
	"internal/geometry": {never: append([]string{"io"}, noFiles...)},
	"internal/blueonly": {may: []string{colorimetry}, never: append([]string{"io"}, noFiles...)},
	"internal/job": {may: []string{"internal/output", "internal/typo"},
		outside: []string{"github.com/gofrs/flock", "github.com/pelletier/go-toml/v2"}},
	"internal/job/report": {may: []string{colorimetry, "internal/job", "internal/meter", "internal/white", "internal/geometry", "internal/blueonly",
		"internal/draw", "internal/table", "internal/output"}, never: noFiles},

	// The program.
	"internal/cli": {may: []string{"*"}, outside: []string{
		"github.com/spf13/cobra", "github.com/spf13/pflag",
		"github.com/lucasb-eyer/go-colorful", "golang.org/x/term", "golang.org/x/sys"}},
	"cmd/backporch": {may: []string{"internal/cli"}},

	// For tests only.
	"internal/testtable":  {testsOnly: true},
	"internal/goldentest": {testsOnly: true, may: []string{"internal/testtable"}},
	"internal/oracle":     {testsOnly: true, may: []string{"internal/ffmpeg"}},
	"internal/arch":       {testsOnly: true, may: []string{"internal/testtable"}},
	"internal/crosscheck": {testsOnly: true, may: []string{"*", "internal/goldentest", "internal/oracle", "internal/testtable"}, outside: []string{"golang.org/x/image"}},
	"internal/faultcheck": {testsOnly: true, may: []string{"*", "internal/goldentest", "internal/oracle", "internal/testtable"}, outside: []string{"golang.org/x/image"}},
}

// testModules are what tests, and only tests, may import of others.
var testModules = []string{
	"github.com/stretchr/testify",
	"github.com/rogpeppe/go-internal/testscript",
	"gonum.org/v1/gonum",
}

// topLevel is what may stand beside go.mod; names with a dot in front may too.
var topLevel = []string{
	"README.md", "DEVELOPERS.md", "LICENSE", "go.mod", "go.sum",
	"pattern", "colorimetry", "timing", "cmd", "internal", "testdata", "golden",
}
