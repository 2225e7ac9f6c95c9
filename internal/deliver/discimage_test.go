package deliver

import (
	"bytes"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestScratchDisc(t *testing.T) {
	im, err := placeImage("/tmp/disc/dvd/VIDEO_TS", "TEST_DISC")
	require.NoError(t, err)
	var b bytes.Buffer
	require.NoError(t, im.write(t.Context(), &b, "/tmp/disc/dvd/VIDEO_TS"))
	require.NoError(t, os.WriteFile("/tmp/disc/own.iso", b.Bytes(), 0o666))
	for _, n := range []string{"/tmp/disc/own.iso", "/tmp/disc/g.iso"} {
		f, _ := os.Open(n)
		u, v, err := readUDF(f)
		t.Log(u, v, err)
		u, v, err = readISO(f)
		t.Log(u, v, err)
	}
	m, ti, err := readNavigation("/tmp/disc/dvd/VIDEO_TS")
	t.Logf("%+v\n%+v %v", m, ti, err)
}
