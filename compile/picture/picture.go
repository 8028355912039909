// Package picture prepares the library's pictures for the site: photos are
// scaled, drawings are cleaned of everything that is not drawing.
package picture

// Picture is a picture of the library as the site has it.
type Picture struct {
	// Source is the library path.
	Source string
	// Width and Height are in the picture's own units: pixels as the picture is
	// shown, or view-box units of an SVG. Positions count from the top left corner.
	Width, Height float64
	// Sizes are the picture's files, smallest first; an SVG has one.
	Sizes []Size
}

// Size is one file of a picture.
type Size struct {
	Path  string // site path, such as "pictures/0ab1c2d3e4f50617-800.jpg"
	Width int    // pixels; 0 for an SVG
}
