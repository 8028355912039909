package writing

import (
	"bytes"
	"crypto/rand"
	"net/http"

	"matchmark/compile/assist"
	"matchmark/compile/page"
	"matchmark/compile/served"
)

// policyStart is what the page may load: its own files, and the site beside it. The editor adds its styles itself, which
// the nonce behind it lets it do.
const policyStart = "default-src 'none'; script-src 'self'; connect-src 'self'; img-src 'self' data:; frame-src 'self'; base-uri 'none'; form-action 'none'; style-src 'self' 'nonce-"

// scriptData is what the script gets.
type scriptData struct {
	Token string            `json:"token"`
	Nonce string            `json:"nonce"`
	Words map[string]string `json:"words"`
	// Kinds is the order of the list of files.
	Kinds []string `json:"kinds"`
}

// servePage sends the page to write in.
func (r *Room) servePage(w http.ResponseWriter) {
	words := r.site.Words()
	data := scriptData{Token: r.token, Nonce: rand.Text(), Words: words.Script("preview.write")}
	v := view{Words: words, Policy: policyStart + data.Nonce + "'"}
	for _, k := range assist.Beginnings() {
		data.Kinds = append(data.Kinds, k)
		v.Kinds = append(v.Kinds, kind{k, words.T("preview.write.script.kind." + k)})
	}
	v.Data = data
	var content bytes.Buffer
	if err := page.Render(&content, writingPage(v)); err != nil {
		http.Error(w, "The page cannot be made.", http.StatusInternalServerError)
		return
	}
	// Another page must not lay this one under its own buttons.
	w.Header().Set("Content-Security-Policy", "frame-ancestors 'none'")
	w.Header().Set("Content-Type", served.ContentType(".html"))
	w.Write(content.Bytes())
}
