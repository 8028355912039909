// Package qti makes the files of a QTI 3.0 package of a quiz: a manifest, a
// test, an item per question, and the figures that questions point at.
//
// Source: 1EdTech, Question and Test Interoperability (QTI) 3.0: Assessment,
// Section and Item information model; Best Practices and Implementation Guide (2022).
package qti

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"matchmark/compile/page"
	"matchmark/compile/picture"
	"matchmark/compile/quizpage"
	"matchmark/procedure"
	"matchmark/themes"
)

// The namespaces, schemas and media types of the standard.
const (
	itemSpace      = "http://www.imsglobal.org/xsd/imsqtiasi_v3p0"
	itemSchema     = "https://purl.imsglobal.org/spec/qti/v3p0/schema/xsd/imsqti_asiv3p0_v1p0.xsd"
	manifestSpace  = "http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1"
	manifestSchema = "https://purl.imsglobal.org/spec/qti/v3p0/schema/xsd/imsqtiv3p0_imscpv1p2_v1p0.xsd"
	instanceSpace  = "http://www.w3.org/2001/XMLSchema-instance"
	testFile       = "test.xml"
)

// emitter writes the package of one quiz.
type emitter struct {
	lib      *procedure.Library
	quiz     *procedure.Quiz
	words    *themes.Words
	pictures map[string]*picture.Picture
	// prepared are the files of the pictures by site path.
	prepared  map[string][]byte
	questions []quizpage.Question
	files     map[string][]byte
}

// Files returns the package's files by name. The pictures are those of the
// quiz's figures by library path, pictureFiles their files by site path.
func Files(lib *procedure.Library, q *procedure.Quiz, pictures map[string]*picture.Picture, pictureFiles map[string][]byte, theme *themes.Theme) (map[string][]byte, error) {
	words, err := theme.Words(lib.Language)
	if err != nil {
		return nil, err
	}
	e := &emitter{lib: lib, quiz: q, words: words, pictures: pictures, prepared: pictureFiles, files: map[string][]byte{}}
	if e.questions, err = quizpage.Questions(lib, q, pictures, words); err != nil {
		return nil, err
	}
	figures := map[string]string{} // by question
	for _, question := range e.questions {
		var f *pointFigure
		if question.Kind == procedure.PointAnswer {
			if f, err = e.figure(question); err != nil {
				return nil, fmt.Errorf("question %s: %w", question.ID, err)
			}
			figures[question.ID] = f.name
			e.files[f.name] = f.content
		}
		if e.files[itemFile(question.ID)], err = e.item(question, f); err != nil {
			return nil, fmt.Errorf("question %s: %w", question.ID, err)
		}
	}
	e.files[testFile] = e.test()
	e.files["imsmanifest.xml"] = e.manifest(figures)
	return e.files, nil
}

func itemFile(id string) string { return "items/" + id + ".xml" }

// root opens the root element of an item or a test.
func (e *emitter) root(tag, identifier, title string, attributes ...string) *document {
	d := newDocument()
	d.start(tag, append([]string{
		"xmlns", itemSpace, "xmlns:xsi", instanceSpace, "xsi:schemaLocation", itemSpace + " " + itemSchema,
		"identifier", identifier, "title", title,
	}, attributes...)...)
	d.line()
	return d
}

// address returns where a link leads from outside the site; "" when nobody knows.
// Links count from the quiz's page.
func (e *emitter) address(link string) string {
	switch {
	case strings.Contains(link, ":"):
		return link
	case e.lib.Address == "" || link == "" || strings.HasPrefix(link, "#"):
		return ""
	}
	return strings.TrimSuffix(e.lib.Address, "/") + "/" + strings.TrimPrefix(link, page.Root(page.QuizPath(e.quiz)))
}

// manifest says what is in the package.
//
// Source: 1EdTech, QTI 3.0, packaging of tests and items (IMS Content Packaging 1.2).
func (e *emitter) manifest(figures map[string]string) []byte {
	d := newDocument()
	d.start("manifest", "xmlns", manifestSpace, "xmlns:xsi", instanceSpace, "xsi:schemaLocation", manifestSpace+" "+manifestSchema, "identifier", "package-"+e.quiz.ID)
	d.line()
	d.start("metadata")
	d.leaf("schema", "QTI Package")
	d.leaf("schemaversion", "3.0.0")
	d.end(1)
	d.empty("organizations")
	d.start("resources")
	d.line()
	d.start("resource", "identifier", "test-"+e.quiz.ID, "type", "imsqti_test_xmlv3p0", "href", testFile)
	d.line()
	d.empty("file", "href", testFile)
	for _, q := range e.questions {
		d.empty("dependency", "identifierref", "item-"+q.ID)
	}
	d.end(1)
	for _, q := range e.questions {
		d.start("resource", "identifier", "item-"+q.ID, "type", "imsqti_item_xmlv3p0", "href", itemFile(q.ID))
		d.line()
		d.empty("file", "href", itemFile(q.ID))
		if figures[q.ID] != "" {
			d.empty("dependency", "identifierref", "figure-"+q.ID)
		}
		d.end(1)
	}
	for _, id := range slices.Sorted(maps.Keys(figures)) {
		d.start("resource", "identifier", "figure-"+id, "type", "webcontent", "href", figures[id])
		d.empty("file", "href", figures[id])
		d.end(1)
	}
	return d.finish()
}

// declare declares an outcome; without a value it starts as NULL.
func (d *document) declare(identifier, cardinality, kind, value string, attributes ...string) {
	d.start("qti-outcome-declaration", append([]string{"identifier", identifier, "cardinality", cardinality, "base-type", kind}, attributes...)...)
	if value != "" {
		d.start("qti-default-value")
		d.leaf("qti-value", value)
		d.end(1)
	}
	d.end(1)
}

// set sets an outcome to a value.
func (d *document) set(outcome, kind, value string) {
	d.start("qti-set-outcome-value", "identifier", outcome)
	d.leaf("qti-base-value", value, "base-type", kind)
	d.end(1)
}

func decimal(points int) string { return strconv.Itoa(points) + ".0" }
