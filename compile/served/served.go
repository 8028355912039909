// Package served is what the preview and the class host share: how files of a site
// are sent, and how something of the server's own gets into a page.
package served

import (
	"bytes"
	"encoding/json"
	"net/http"
	"path"
	"regexp"
	"time"
)

// contentTypes are those of a site's files. The system's own table differs from machine to machine.
var contentTypes = map[string]string{
	".html":        "text/html; charset=utf-8",
	".css":         "text/css; charset=utf-8",
	".js":          "text/javascript; charset=utf-8",
	".json":        "application/json",
	".txt":         "text/plain; charset=utf-8",
	".svg":         "image/svg+xml",
	".png":         "image/png",
	".jpg":         "image/jpeg",
	".webp":        "image/webp",
	".webmanifest": "application/manifest+json",
}

// ContentType is the type of a file by its name.
func ContentType(name string) string {
	if kind, known := contentTypes[path.Ext(name)]; known {
		return kind
	}
	return "application/octet-stream"
}

// Send answers with a file.
func Send(w http.ResponseWriter, r *http.Request, name string, content []byte) {
	w.Header().Set("Content-Type", ContentType(name))
	http.ServeContent(w, r, name, time.Time{}, bytes.NewReader(content))
}

var (
	// policy is the start of a page's own rule on what it may load.
	policy = regexp.MustCompile(`(?i)<meta http-equiv="Content-Security-Policy" content="`)
	// language is the page's language.
	language = regexp.MustCompile(`(?i)<html lang="([a-zA-Z0-9-]+)"`)
)

// JSON answers with a value, which must be one that can be written so.
func JSON(w http.ResponseWriter, status int, value any) {
	content, err := json.Marshal(value)
	if err != nil {
		panic(err) // plain structs of ours
	}
	w.Header().Set("Content-Type", ContentType(".json"))
	w.WriteHeader(status)
	w.Write(content)
}

// WithHead adds markup to a page's head, and exceptions to its own rule on what
// it may load, each such as "connect-src 'self'; ".
func WithHead(page []byte, head, exceptions string) []byte {
	if at := policy.FindIndex(page); at != nil {
		page = bytes.Join([][]byte{page[:at[1]], page[at[1]:]}, []byte(exceptions))
	}
	before, after, _ := bytes.Cut(page, []byte("</head>"))
	return bytes.Join([][]byte{before, after}, []byte(head+"</head>"))
}

// Language is the language that a page says it is in; empty when it does not.
func Language(page []byte) string {
	if found := language.FindSubmatch(page); found != nil {
		return string(found[1])
	}
	return ""
}
