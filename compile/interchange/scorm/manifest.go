package scorm

import (
	"bytes"
	"encoding/xml"
	"fmt"

	"matchmark/procedure"
)

// manifest says what is in the package: one organization with one item, which
// is the page. There is no adlcp:masteryscore: with it, a learning system may
// overrule the status that the page reports, and a critical question that was
// wrong would not count.
//
// Source: ADL, SCORM 1.2 Content Aggregation Model (2001), 2.3.
func manifest(q *procedure.Quiz, at string, files []string) []byte {
	var b bytes.Buffer
	title := escaped(q.Title)
	fmt.Fprintf(&b, `<?xml version="1.0" encoding="UTF-8"?>
<manifest identifier="quiz-%s" version="1.0" xmlns="http://www.imsproject.org/xsd/imscp_rootv1p1p2" xmlns:adlcp="http://www.adlnet.org/xsd/adlcp_rootv1p2">
<metadata>
<schema>ADL SCORM</schema>
<schemaversion>1.2</schemaversion>
</metadata>
<organizations default="all">
<organization identifier="all">
<title>%s</title>
<item identifier="take" identifierref="page" isvisible="true">
<title>%s</title>
</item>
</organization>
</organizations>
<resources>
<resource identifier="page" type="webcontent" adlcp:scormtype="sco" href="%s">
`, escaped(q.ID), title, title, escaped(at))
	for _, name := range files {
		fmt.Fprintf(&b, "<file href=\"%s\"/>\n", escaped(name))
	}
	b.WriteString("</resource>\n</resources>\n</manifest>\n")
	return b.Bytes()
}

func escaped(s string) string {
	var b bytes.Buffer
	_ = xml.EscapeText(&b, []byte(s)) // a buffer takes everything
	return b.String()
}
