// Package picture prepares the library's pictures for the site.
package picture

// Picture is a picture of the library as the site has it.
type Picture struct {
	// Source is the library path.
	Source string
	// Width and Height are in the picture's own units: pixels, or view-box units of an SVG.
	Width, Height float64
	// Sizes are the picture's files, smallest first; an SVG has one.
	Sizes []Size
}

// Size is one file of a picture.
type Size struct {
	Path  string // site path, such as "pictures/ab12-800.jpg"
	Width int    // pixels; 0 for an SVG
}
