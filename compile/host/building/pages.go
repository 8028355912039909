package building

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/a-h/templ"

	"matchmark/compile/classresult"
	"matchmark/compile/page"
	"matchmark/compile/sheet"
	"matchmark/compile/workorder"
	"matchmark/procedure"
	"matchmark/procedure/assessment"
	"matchmark/procedure/competence"
	"matchmark/procedure/quiz/collect"
	"matchmark/procedure/quiz/retention"
	"matchmark/procedure/record"
)

// ErrPage means that a page could not be made, which is a fault of the program's own.
var ErrPage = errors.New("making a page")

// render makes a page of the host's own.
func render(made templ.Component) ([]byte, error) {
	var out bytes.Buffer
	if err := page.Render(&out, made); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrPage, err)
	}
	return out.Bytes(), nil
}

func (b *Building) shell(title string) page.Shell {
	return page.Shell{Title: title, Site: b.Title, Lang: b.Words.Lang, Root: "/", Words: b.Words}
}

func (b *Building) board() []page.Crumb {
	return []page.Crumb{{Title: b.Words.T("board.title"), Link: "/board/"}}
}

// Missing makes the answer for a page that the site does not have.
func (b *Building) Missing() ([]byte, error) {
	return render(missingPage(b.shell(b.Words.T("host.missing"))))
}

// OnlyTrainer makes the answer for what only the trainer gets: why is "key" or "board", and board where one signs in.
func (b *Building) OnlyTrainer(why, board string) ([]byte, error) {
	return render(trainerPage(b.shell(b.Words.T("board.pin.title")), b.Words.T("host.trainer."+why), board))
}

// Openly makes the board's page where others on the network can read along; board is its address where they cannot, if it is secure.
func (b *Building) Openly(secure bool, board string) ([]byte, error) {
	return render(openlyPage(b.shell(b.Words.T("board.pin.title")), secure, board))
}

// Arrival makes the page that puts what a tablet kept under another address into the storage of this one, as JSON between two pieces.
func (b *Building) Arrival() (head, tail []byte, err error) {
	const place = `"PARCEL"`
	whole, err := render(arrivePage(b.shell(b.Words.T("host.arrive")), json.RawMessage(place)))
	head, tail, _ = bytes.Cut(whole, []byte(place))
	return head, tail, err
}

// TrustPage is what the page on trust says.
type TrustPage struct {
	// Secure is false when the host has no HTTPS.
	Secure bool
	// Fingerprint is in lines that fit a small tablet.
	Fingerprint []string
	File        string
	// Ends is when the certificate ends. Near that there is the next one, to trust as well.
	Ends string
	// Ending says that this is near; Lacks are the names that only the next one speaks for.
	Ending    bool
	Lacks     string
	Next      []string
	NextFile  string
	Addresses []string
	// Code leads to this page from another tablet; nil where no address is known.
	Code *sheet.Code
}

// Trust makes the page on how a tablet learns to trust the host.
func (b *Building) Trust(v TrustPage) ([]byte, error) {
	if len(v.Addresses) > 0 { // the plain one first, which a tablet can open that does not trust the host yet
		code, err := sheet.Encode(v.Addresses[0]+"trust/", b.Words.T("host.trust.code"))
		if err != nil {
			return nil, err
		}
		v.Code = code
	}
	return render(trustPage(b.shell(b.Words.T("host.trust")), v))
}

// BoardPage is what the board's page is made from. It holds nothing of the class.
type BoardPage struct {
	Site      string
	Addresses []string
	// Ends is when the certificate ends, once that is near; Lacks are the names that it does not speak for.
	Ends, Lacks string
	// Accounts says that trainers have accounts, Copies that the host makes its own copies of the records.
	Accounts, Copies bool
}

// Board makes the board's page.
func (b *Building) Board(v BoardPage) ([]byte, error) {
	v.Site = b.Title
	return render(boardPage(b.Words, v))
}

// Keys makes the page that leads to the answer keys of all quizzes.
func (b *Building) Keys() ([]byte, error) {
	var keys []page.Crumb
	for _, q := range b.library.Quizzes {
		keys = append(keys, page.Crumb{Title: q.Title, Link: "/" + page.QuizKeyPath(q)})
	}
	shell := b.shell(b.Words.T("host.keys"))
	shell.Crumbs = b.board()
	return render(keysPage(shell, keys))
}

// Results makes the page on how a class did in a quiz, with the figures on each question; for a wall in large type and without names.
// It carries its own styles.
func (b *Building) Results(q *procedure.Quiz, marked *collect.Collection, wall bool) ([]byte, error) {
	made, err := classresult.New(b.library, marked)
	if err != nil {
		return nil, err
	}
	made.Crumbs = append(b.board(), page.Crumb{Title: made.Quiz, Link: "/" + page.QuizPath(q)})
	made.Other = page.Crumb{Title: b.Words.T("host.results.wall"), Link: "?wall"}
	if wall {
		made.ForWall()
		made.Other = page.Crumb{Title: b.Words.T("host.results.names"), Link: "?"}
	}
	var out bytes.Buffer
	err = made.Page(&out)
	return out.Bytes(), err
}

// Assessments makes the page that leads to the practical assessments of the library, and lists those that are kept.
func (b *Building) Assessments(kept []KeptAssessment) ([]byte, error) {
	v := assessmentsView{Shell: b.shell(b.Words.T("host.assessments"))}
	v.Crumbs = b.board()
	titles := map[string]string{}
	for _, p := range b.library.Procedures {
		titles[p.ID] = p.Title
		for _, job := range p.Jobs() {
			if at := page.SheetPath(job, string(sheet.Assessment)); b.Has(at) {
				link := page.Crumb{Title: p.Title, Link: "/" + at}
				if job.Variant != nil {
					link.Title += ", " + job.Variant.Name
				}
				v.Sheets = append(v.Sheets, link)
			}
		}
	}
	for _, a := range slices.Backward(kept) {
		result := b.Words.T("host.assessments.open")
		if a.Missed() {
			result = b.Words.T("competence.missed")
		} else if a.Shows() {
			result = b.Words.T("host.assessments.reached")
		}
		v.Kept = append(v.Kept, assessed{
			Learner: cmp.Or(a.Learner, b.Words.T("result.unnamed")), About: titles[a.Procedure], Role: b.Words.T("assess.role." + string(a.Role)),
			On: retention.DayOf(a.At()).String(), Attempt: a.Attempt, Result: result, Again: a.Again, File: "/board/assessment/" + a.Hash,
		})
	}
	return render(assessmentsPage(v))
}

// assessmentsView is the page on practical assessments.
type assessmentsView struct {
	page.Shell
	Sheets []page.Crumb
	Kept   []assessed
}

// KeptAssessment is a practical assessment that the host keeps under a name.
type KeptAssessment struct {
	Hash string
	*assessment.Assessment
}

// assessed is a line of the page.
type assessed struct {
	Learner, About, Role, On string
	Attempt                  int
	Result, Again, File      string
}

// Competence makes the page on who has shown what, in quizzes, jobs and practical assessments. It carries its own styles.
func (b *Building) Competence(all []competence.Evidence, on retention.Day, months, undated, left int) ([]byte, error) {
	made, _, err := classresult.Competence(b.library, all, on, months, undated, left, 0)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	err = made.HTML(&out)
	return out.Bytes(), err
}

// ErrUnplaced means that the library has no place for a record: its procedure or variant has gone.
var ErrUnplaced = errors.New("the library has no place for the record")

// Order is a job of which a work order is made.
type Order struct {
	Record *record.Record
	// Zone is that of all clock times.
	Zone *time.Location
	// There says which photos have come.
	There map[string]bool
	// Checklist asks for the checklist of the refitting place of the order.
	Checklist bool
}

// WorkOrder makes the work order of a job, or the checklist of its refitting; nil when nothing goes back. The error is ErrUnplaced for a record that has no place.
func (b *Building) WorkOrder(o Order) ([]byte, error) {
	job := o.Record.Job
	e, err := workorder.New(b.library, b.theme, o.Record, workorder.Options{
		Zone: o.Zone, Root: "/", Order: "/board/workorder/" + job, Checklist: "/board/checklist/" + job, Crumbs: b.board(),
		Photo: func(name string) string {
			if !o.There[name] {
				return ""
			}
			return "/board/photo/" + job + "/" + name
		},
	})
	var unplaced *workorder.Unplaced
	switch {
	case errors.As(err, &unplaced):
		return nil, ErrUnplaced
	case err != nil:
		return nil, err
	case !o.Checklist:
		return e.Page()
	case !e.HasChecklist():
		return nil, nil
	}
	return e.Checklist()
}

// Picture draws a text as a code to scan: a path in a square of so many modules; empty when the text is too long for one.
func (b *Building) Picture(text string) (path string, side int) {
	code, err := sheet.Encode(text, "")
	if err != nil {
		return "", 0
	}
	return code.Path, code.Side
}
