package wav

// A FormatError reports a file that is not a valid RIFF/WAVE.
type FormatError string

func (e FormatError) Error() string { return "wav: invalid file: " + string(e) }

// An UnsupportedError reports what is valid and not written or read here.
type UnsupportedError string

func (e UnsupportedError) Error() string { return "wav: unsupported: " + string(e) }
