package comparison

import (
	"crypto/sha256"
	"encoding/hex"
	"io/fs"

	"matchmark/procedure"
)

// LookAtPictures notes what the pictures of a library's figures are, so that a picture that was drawn anew under its
// old name is told too. Compare without it, and figures are the same when all that is written about them is.
func LookAtPictures(lib *procedure.Library, files fs.FS) {
	look := func(figures []*procedure.Figure) {
		for _, f := range figures {
			if drawn, err := fs.ReadFile(files, f.Source); err == nil { // one that is missing is the checks' business
				sum := sha256.Sum256(drawn)
				f.Picture = procedure.PictureSum(hex.EncodeToString(sum[:]))
			}
		}
	}
	for _, m := range lib.Machines {
		look(m.Figures)
	}
	for _, p := range lib.Procedures {
		look(p.Figures)
		if p.RefitFile != nil {
			look(p.RefitFile.Figures)
		}
	}
}
