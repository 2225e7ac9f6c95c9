package oracle

import (
	"encoding/hex"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// anEDID was put together by hand from the bit table: 1440x480i and 240p, with
// range limits of 15 to 16 kHz.
const anEDID = "00ffffffffffff000a180d0200000000" +
	"0023010308281e8c0a45c1a1574f9827" +
	"12505400000001010101010101010101" +
	"0101010101018c0aa01451f01600267c" +
	"4300902c110000988c0aa01451f01600" +
	"267c4300902c110000180000" + "00fd003b" +
	"3d0f1003000a20202020202000" + "0000fc" +
	"00435254203438" + "30690a20202020" + "00ad"

func bytesOf(t *testing.T) []byte {
	t.Helper()
	b, err := hex.DecodeString(anEDID)
	require.NoError(t, err)
	require.Len(t, b, 128)
	return b
}

func TestCheckEDID(t *testing.T) {
	r := CheckEDID(t, bytesOf(t))
	assert.Empty(t, r.Warnings)
	require.Len(t, r.Timings, 2)
	i, p := r.Timings[0], r.Timings[1]
	assert.Equal(t, []int{1440, 480, 38, 124, 114, 4, 3, 15, 400, 300}, []int{i.Width, i.Rows, i.HFront, i.HSync, i.HBack, i.VFront, i.VSync, i.VBack, i.SizeH, i.SizeV})
	assert.True(t, i.Interlaced)
	assert.False(t, i.HPositive || i.VPositive || p.Interlaced)
	assert.Equal(t, "Vfront +0.5 Odd Field, Vback +0.5 Even Field", i.Halves)
	assert.Equal(t, 27.0, i.Clock)
	assert.Equal(t, 240, p.Rows)
	assert.Empty(t, p.Halves)
}

// A sync one pixel later than that of format 6 of CEA-861 is warned of.
func TestCheckEDIDWarns(t *testing.T) {
	b := bytesOf(t)
	b[62]++
	b[127]--
	assert.Equal(t, []string{"Detailed Timing Descriptor #1: DTD is similar but not identical to VIC 6."}, CheckEDID(t, b).Warnings)
}

// What is wrong must not pass: a sum, and a timing outside the range limits.
func TestCheckEDIDFinds(t *testing.T) {
	path := Need(t, "edid-decode")
	for _, tt := range []struct {
		name  string
		spoil func(b []byte)
		want  string
	}{
		{"sum", func(b []byte) { b[127]++ }, "checksum"},
		{"range", func(b []byte) { b[97] += 16; b[98] += 16; b[127] -= 32 }, "out of range"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := bytesOf(t)
			tt.spoil(b)
			_, err := checkEDID(t, path, b)
			require.Error(t, err)
			assert.Contains(t, strings.ToLower(err.Error()), tt.want)
		})
	}
}
