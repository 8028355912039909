// Package interchange makes packages of quizzes that other learning systems
// take: SCORM 1.2 and QTI 3.0, from the open specifications.
//
// # SCORM 1.2
//
// The package holds the site's own quiz page with its scripts, styles and
// pictures, so the quiz behaves as on the site: order, marking, feedback,
// critical questions, tries. A script hands the learning system the score in
// percent (0 to 100), the status (incomplete, then passed or failed; completed
// where nothing can fail), every answer as an interaction with its time, and what
// is needed to go on after a break. Of several tries the best one counts.
// Without a learning system the page works as on the site.
//
// What is lost: links to steps, forms and keys become plain words, unless the
// library states the address where its site is served. The interaction of a
// number is in the unit of the right answer and carries no limits, which SCORM
// 1.2 does not have. The package has no mastery score, which could overrule a
// critical question, and no copies of the schema files. Beyond 36 choices an
// interaction does not say which one was taken, and a try that does not fit into
// 4,096 characters cannot be resumed; the page says so.
//
// # QTI 3.0
//
// The package holds one test, one item per question in the order of the paper
// form, and the figures with lettered balloons. Single, several and true-false
// questions are choice interactions, numbers text entries between two limits,
// orders order interactions, pointing hotspot interactions with a spot at each
// balloon and each place that it names. Points, pass mark and critical questions
// are in the response and outcome processing; feedback on choices and the
// explanation are shown after the answer.
//
// What is lost: shuffling anew at each try, and the limit of tries, which QTI
// leaves to the system that delivers the test. A number is typed in the one unit
// that is stated, with a decimal point. Links to steps become plain words,
// unless the library states its address. Feedback on a choice loses its paragraphs.
//
// The player that the tests use (qti3-item-player 1.1.20) shows and marks every
// item. It has no support for: tests, so that pass mark, critical questions and
// the closing words are left out (a test of package qti works them out instead);
// ordering lines by keyboard, only by a mouse that drags; telling lines that were
// left as they stood from an answer; numbers of which half does not match the
// mask while they are typed, which is why the mask takes half a number.
package interchange

import (
	"fmt"
	"io/fs"

	"matchmark/compile"
	"matchmark/compile/interchange/qti"
	"matchmark/compile/interchange/scorm"
	"matchmark/compile/library"
	"matchmark/compile/output"
	"matchmark/compile/picture"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/themes"
)

// Manifest is the name of the file that says what is in a package, for both standards.
const Manifest = "imsmanifest.xml"

// Standard is what a package follows.
type Standard string

// The standards.
const (
	QTI   Standard = "qti"
	SCORM Standard = "scorm"
)

// Package is a quiz as a ZIP file.
type Package struct {
	// Name is a file name such as "mixer-quiz-scorm.zip".
	Name    string
	Content []byte
}

// UnknownError says that a library has no such quiz.
type UnknownError struct {
	ID string
	// Suggest is the id of a quiz that may have been meant; empty for none.
	Suggest string
}

// Error says what is missing.
func (e *UnknownError) Error() string { return e.Says().String() }

// Says says what is missing.
func (e *UnknownError) Says() say.Text {
	return say.That("the library has no quiz %id", say.Quoted(e.ID))
}

// Packages reads and checks a library and makes a package of one of its quizzes,
// or of each when id is empty. It returns compile.ErrDiagnostics when the log
// holds errors, *UnknownError for an id that the library does not have, and
// *compile.InternalError for a fault of its own; any other error is the world's.
func Packages(fsys fs.FS, standard Standard, id string, log *diagnostic.Log) ([]Package, error) {
	lib, err := compile.Load(fsys, log)
	switch {
	case err != nil:
		return nil, err
	case log.HasErrors():
		return nil, compile.ErrDiagnostics
	}
	quizzes, err := chosen(lib, id)
	if err != nil {
		return nil, err
	}
	theme, err := themes.Load()
	if err != nil {
		return nil, &compile.InternalError{Err: fmt.Errorf("loading the theme: %w", err)}
	}
	if err := compile.Questions(lib, theme); err != nil {
		return nil, &compile.InternalError{Err: err}
	}
	var out []Package
	for _, q := range quizzes {
		pictures, files, err := prepare(fsys, q)
		if err != nil {
			return nil, err
		}
		content, err := pack(lib, q, standard, pictures, files, theme)
		if err != nil {
			return nil, &compile.InternalError{Err: fmt.Errorf("exporting the quiz %s: %w", q.ID, err)}
		}
		out = append(out, Package{Name: q.ID + "-" + string(standard) + ".zip", Content: content})
	}
	return out, nil
}

func chosen(lib *procedure.Library, id string) ([]*procedure.Quiz, error) {
	if id == "" {
		return lib.Quizzes, nil
	}
	var ids []string
	for _, q := range lib.Quizzes {
		if q.ID == id {
			return []*procedure.Quiz{q}, nil
		}
		ids = append(ids, q.ID)
	}
	return nil, &UnknownError{ID: id, Suggest: diagnostic.Nearest(id, ids)}
}

// prepare prepares the pictures of a quiz's figures. The checks have looked at
// them before: what fails now is the world's.
func prepare(fsys fs.FS, q *procedure.Quiz) (map[string]*picture.Picture, map[string][]byte, error) {
	var figures []*procedure.Figure
	for _, question := range q.Questions {
		if f := q.Procedure.Figure(question.Figure.ID); f != nil {
			figures = append(figures, f)
		}
	}
	names := library.Pictures(figures)
	var files output.Memory
	pictures := map[string]*picture.Picture{}
	for i, r := range picture.PrepareAll(fsys, names, &files, nil) {
		if r.Err != nil {
			return nil, nil, fmt.Errorf("picture %s: %w", names[i], r.Err)
		}
		pictures[names[i]] = &r.Picture
	}
	return pictures, files.Files(), nil
}

func pack(lib *procedure.Library, q *procedure.Quiz, standard Standard, pictures map[string]*picture.Picture, pictureFiles map[string][]byte, theme *themes.Theme) ([]byte, error) {
	emit := qti.Files
	if standard == SCORM {
		emit = scorm.Files
	}
	files, err := emit(lib, q, pictures, pictureFiles, theme)
	if err != nil {
		return nil, err
	}
	return archive(files)
}
