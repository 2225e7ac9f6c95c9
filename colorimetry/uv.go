package colorimetry

// UV is a chromaticity of CIE 1960 (u, v) or of CIE 1976 (u', v'), as the
// function that made it says; v' is 1.5 v.
type UV struct{ U, V float64 }

// UV1960 returns u, v of the CIE 1960 diagram: u = 4x/(-2x+12y+3), v =
// 6y/(-2x+12y+3).
func (c XY) UV1960() UV {
	d := float64(-2*c.X) + float64(12*c.Y) + 3
	return UV{4 * c.X / d, 6 * c.Y / d}
}

// UV1976 returns u', v' of the CIE 1976 diagram.
func (c XY) UV1976() UV {
	v := c.UV1960()
	return UV{v.U, 1.5 * v.V}
}

// XY1960 takes c for u, v of CIE 1960: x = 3u/(2u-8v+4), y = 2v/(2u-8v+4).
func (c UV) XY1960() XY {
	d := float64(2*c.U) - float64(8*c.V) + 4
	return XY{3 * c.U / d, 2 * c.V / d}
}

// XY1976 takes c for u', v' of CIE 1976.
func (c UV) XY1976() XY { return UV{c.U, c.V / 1.5}.XY1960() }
