package pixfmt

// A FormatError reports bytes that are not a valid picture of a layout.
type FormatError string

func (e FormatError) Error() string { return "pixfmt: invalid picture: " + string(e) }

// An UnsupportedError reports a valid wish that a layout cannot meet.
type UnsupportedError string

func (e UnsupportedError) Error() string { return "pixfmt: unsupported: " + string(e) }
