package picture

import "matchmark/procedure/say"

// Kind says what is wrong with a picture.
type Kind int

const (
	// Missing is a path where there is nothing.
	Missing Kind = iota
	// Outside is a path that leads out of the library, by itself or through a link.
	Outside
	// Unreadable is a folder, a device or a file that we may not read.
	Unreadable
	// TooLarge is a picture beyond a limit: bytes, pixels, elements.
	TooLarge
	// NotPicture is a file that is neither JPEG, PNG nor SVG.
	NotPicture
	// Broken is a picture that cannot be read to its end.
	Broken
	// Unusable is a sound SVG that cannot be shown with balloons, or not safely.
	Unusable
)

// Fault is why a picture of the library cannot be used.
type Fault struct {
	Kind Kind
	// Wrong says what is wrong, Advice what to do about it, one line each.
	Wrong, Advice say.Text
}

// Error returns what is wrong and what to do about it.
func (f *Fault) Error() string { return f.Wrong.String() + ": " + f.Advice.String() }

// fault makes a fault that speaks of the picture at a path.
func fault(kind Kind, path string, wrong, advice say.Text) *Fault {
	return &Fault{kind, ofPicture(path, wrong), advice}
}

// ofPicture says of the picture at a path what is wrong with it.
func ofPicture(path string, wrong say.Text) say.Text {
	return say.That(`picture "%path" %wrong`, say.Name(path), wrong)
}
