package y4m

// A FormatError reports a stream that is not valid YUV4MPEG2.
type FormatError string

func (e FormatError) Error() string { return "y4m: invalid stream: " + string(e) }

// An UnsupportedError reports what is valid and not written or read here.
type UnsupportedError string

func (e UnsupportedError) Error() string { return "y4m: unsupported: " + string(e) }
