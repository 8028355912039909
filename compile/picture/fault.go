package picture

import "fmt"

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
	// Problem says what is wrong, Do says what to do about it, one line each.
	Problem, Do string
}

// Error returns what is wrong and what to do about it.
func (f *Fault) Error() string { return f.Problem + ": " + f.Do }

// fault makes a fault whose problem speaks of the picture at a path.
func fault(kind Kind, path, problem, do string) *Fault {
	return &Fault{kind, fmt.Sprintf("picture %q %s", path, problem), do}
}
