// Package library holds the checks on a library that need its pictures and the theme.
package library

import (
	"errors"
	"io/fs"
	"slices"

	"matchmark/compile/picture"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/parallel"
	"matchmark/procedure/say"
)

// The rules on the pictures of figures.
var (
	missingPicture = diagnostic.Rule{
		Code: "missing-picture", Severity: diagnostic.Error, Title: "Picture not there",
		Wrong: "A figure's picture is not in the library.",
		Why:   "The learner would see numbers on nothing.",
		Do:    "Put the picture there, or correct the path; it counts from the library's folder.",
	}
	pictureOutside = diagnostic.Rule{
		Code: "picture-outside", Severity: diagnostic.Error, Title: "Picture outside the library",
		Wrong: "A figure's path, or a link behind it, leads out of the library's folder.",
		Why:   "The library would not compile on another machine, and files that nobody meant to publish could get onto the site.",
		Do:    "Copy the picture into the library.",
	}
	pictureTooLarge = diagnostic.Rule{
		Code: "picture-too-large", Severity: diagnostic.Error, Title: "Picture too large",
		Wrong: "A picture is over 20 MB, over 40 megapixels, or a drawing with too many elements.",
		Why:   "It would take minutes to prepare and fill the tablet.",
		Do:    "Save it smaller.",
	}
	pictureUnusable = diagnostic.Rule{
		Code: "picture-unusable", Severity: diagnostic.Error, Title: "Picture cannot be used",
		Wrong: "A picture is not a JPEG, PNG or SVG, is damaged, or cannot be read.",
		Why:   "The step would have no picture.",
		Do:    "Save it again as JPEG, PNG or SVG.",
	}
	pictureCleaned = diagnostic.Rule{
		Code: "picture-cleaned", Severity: diagnostic.Warning, Title: "Something was taken out of a drawing",
		Wrong: "A drawing holds scripts, outside references or elements that do not draw; they are taken out.",
		Why:   "A drawing must not run anything in the page, nor fetch anything; it may look different without them.",
		Do:    "Save it as a plain SVG, and look at the figure.",
	}
	balloonOutside = diagnostic.Rule{
		Code: "balloon-outside", Severity: diagnostic.Error, Title: "Balloon outside the picture",
		Wrong: "A balloon, or the point that it leads to, lies outside the picture.",
		Why:   "The number would not be seen.",
		Do:    "Count from the top left corner, in the picture's own units.",
	}
)

// figureRules documents the rules on the pictures of figures.
func figureRules() []diagnostic.Rule {
	return []diagnostic.Rule{missingPicture, pictureOutside, pictureTooLarge, pictureUnusable, pictureCleaned, balloonOutside}
}

// Figures returns the library's figures, machine by machine and procedure by
// procedure; a figure of a shared steps file stands in each procedure that takes it in.
func Figures(lib *procedure.Library) []*procedure.Figure {
	var out []*procedure.Figure
	for _, m := range lib.Machines {
		out = append(out, m.Figures...)
	}
	for _, p := range lib.Procedures {
		out = append(out, p.Figures...)
	}
	return out
}

// Pictures returns the figures' pictures, each once, in the order of the figures.
func Pictures(figures []*procedure.Figure) []string {
	seen := map[string]bool{}
	var out []string
	for _, f := range figures {
		if f.Source != "" && !seen[f.Source] {
			seen[f.Source] = true
			out = append(out, f.Source)
		}
	}
	return out
}

// SizeFigures gives the figures of a library that was checked before the sizes of their pictures.
func SizeFigures(files fs.FS, lib *procedure.Library) {
	figures := Figures(lib)
	names := Pictures(figures)
	looked := make([]*picture.Source, len(names))
	parallel.Each(names, func(i int) { looked[i], _ = picture.Read(files, names[i]) })
	for _, f := range figures {
		if at := slices.Index(names, f.Source); at >= 0 && looked[at] != nil {
			f.Width, f.Height = looked[at].Width, looked[at].Height
		}
	}
}

// LookingAtPicture is what a message on a fault of matchmark's own calls the work on a picture.
const LookingAtPicture = "looking at the picture"

// CheckFigures gives each figure the size of its picture, and reports pictures
// that cannot be used and balloons that lie outside. look looks at a picture.
func CheckFigures(figures []*procedure.Figure, look func(name string) (*picture.Source, error), log *diagnostic.Log) {
	for _, f := range figures {
		if f.Source != "" { // else reported by the reader
			diagnostic.GuardWork(say.That(LookingAtPicture), f.SourceSpan, log.Add, func() { checkFigure(f, look, log) })
		}
	}
}

func checkFigure(f *procedure.Figure, look func(name string) (*picture.Source, error), log *diagnostic.Log) {
	looked, fault := look(f.Source)
	if fault != nil {
		ReportPicture(f, fault, log)
		return
	}
	f.Width, f.Height = looked.Width, looked.Height
	for _, what := range looked.TakenOut {
		add(log, pictureCleaned, diagnostic.Diagnostic{
			Span: f.SourceSpan, Wrong: say.That(`the picture "%path" held %what; it is taken out`, say.Name(f.Source), say.Word(what)), Advice: say.That(pictureCleaned.Do),
		})
	}
	checkBalloons(f, log)
}

func checkBalloons(f *procedure.Figure, log *diagnostic.Log) {
	for _, b := range f.Balloons {
		points := b.Targets
		if !b.Free {
			points = append([]procedure.Point{b.Label}, points...)
		}
		for _, p := range points {
			if p.X >= 0 && p.Y >= 0 && p.X <= f.Width && p.Y <= f.Height {
				continue
			}
			add(log, balloonOutside, diagnostic.Diagnostic{
				Span:   b.Span,
				Wrong:  say.That("the point %x,%y lies outside the picture, which is %width wide and %height high", shortest(p.X), shortest(p.Y), shortest(f.Width), shortest(f.Height)),
				Advice: say.That(balloonOutside.Do),
				See:    []diagnostic.Related{{Span: f.SourceSpan, Says: say.That("the picture")}},
			})
		}
	}
}

func shortest(x float64) say.Decimal { return say.Decimal{Value: x, Places: say.Shortest} }

// ReportPicture turns a picture's fault into a diagnostic at the figure's path.
func ReportPicture(f *procedure.Figure, err error, log *diagnostic.Log) {
	rule := pictureUnusable
	d := diagnostic.Diagnostic{Span: f.SourceSpan, Wrong: say.That("%cause", say.Foreign(err.Error())), Advice: say.That(pictureUnusable.Do)}
	var fault *picture.Fault
	if errors.As(err, &fault) {
		d.Wrong, d.Advice = fault.Wrong, fault.Advice
		switch fault.Kind {
		case picture.Missing:
			rule = missingPicture
		case picture.Outside:
			rule = pictureOutside
		case picture.TooLarge:
			rule = pictureTooLarge
		}
	}
	add(log, rule, d)
}

func add(log *diagnostic.Log, rule diagnostic.Rule, d diagnostic.Diagnostic) {
	d.Code, d.Severity = rule.Code, rule.Severity
	log.Add(d)
}
