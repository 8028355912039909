// Command house draws the packages of the module and which imports which, room by room:
//
//	go run ./.ci/house          writes .ci/house/house.svg
//	go run ./.ci/house -check   fails when that picture is out of date, or arrows run both ways between two folders
//
// A package stands below all of its room that import it. An arrow that others imply is left out.
package main

import (
	"bytes"
	"cmp"
	"flag"
	"fmt"
	"log"
	"maps"
	"os"
	"os/exec"
	"slices"
	"strings"
)

// Where the picture stands, and its sizes in its own units.
const (
	picture             = ".ci/house/house.svg"
	across              = 9 // boxes in a row
	boxWidth, boxHeight = 124, 26
	pitchX, pitchY      = 134, 66
	margin, head        = 14, 34
)

// rooms from top to bottom, each with the colour of its floor.
var rooms = [][2]string{{"cmd", "#f3e8ff"}, {"content", "#fef3c7"}, {"compile", "#e0f2fe"}, {"themes", "#fce7f3"}, {"procedure", "#dcfce7"}}

func main() {
	log.SetFlags(0)
	check := flag.Bool("check", false, "compare instead of writing")
	flag.Parse()
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "matchmark/...").Output()
	if err != nil {
		log.Fatalf("house: go list: %v", err)
	}
	imports := map[string][]string{}
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(strings.ReplaceAll(line, "matchmark/", ""))
		imports[words[0]] = slices.DeleteFunc(words[1:], func(to string) bool { return !strings.Contains(line, " matchmark/"+to) })
	}
	drawn, wrong := draw(imports), circles(imports)
	if !*check {
		err = os.WriteFile(picture, drawn, 0o666)
	} else if kept, _ := os.ReadFile(picture); !bytes.Equal(kept, drawn) {
		wrong = append(wrong, "the picture is out of date; run: go run ./.ci/house")
	}
	if len(wrong) > 0 || err != nil {
		log.Fatalf("house: %s %v", strings.Join(wrong, "; "), err)
	}
}

// circles says in which folders arrows lead from one child through others back to it; what stands in the folder itself is a child too.
func circles(imports map[string][]string) []string {
	folders := map[string]map[string][]string{} // what the children of each folder import of each other
	for from, all := range imports {
		for _, to := range all {
			a, b, folder := strings.Split(from+"/.", "/"), strings.Split(to+"/.", "/"), ""
			for ; a[0] == b[0]; a, b = a[1:], b[1:] {
				folder += a[0] + "/"
			}
			if folders[folder] == nil {
				folders[folder] = map[string][]string{}
			}
			folders[folder][a[0]] = append(folders[folder][a[0]], b[0])
		}
	}
	var out []string
	for _, folder := range slices.Sorted(maps.Keys(folders)) {
		left := folders[folder]
		for range len(left) { // whoever imports nothing that is left cannot be in a circle
			maps.DeleteFunc(left, func(_ string, to []string) bool {
				return !slices.ContainsFunc(to, func(t string) bool { return left[t] != nil })
			})
		}
		if len(left) > 0 {
			out = append(out, fmt.Sprintf("in folder %q arrows run both ways between %s", folder, strings.Join(slices.Sorted(maps.Keys(left)), ", ")))
		}
	}
	return out
}

// reaches reports whether a package imports another through others.
func reaches(imports map[string][]string, from, to string) bool {
	return slices.ContainsFunc(imports[from], func(p string) bool { return p == to || reaches(imports, p, to) })
}

func draw(imports map[string][]string) []byte {
	packages := slices.Sorted(maps.Keys(imports))
	at := map[string]*[2]int{} // the middle of each box's upper edge
	var out, floor, boxes, arrows bytes.Buffer
	y := margin
	for _, room := range rooms {
		top := y
		inside := slices.DeleteFunc(slices.Clone(packages), func(p string) bool { return p != room[0] && !strings.HasPrefix(p, room[0]+"/") })
		y += head
		for len(inside) > 0 {
			row := slices.DeleteFunc(slices.Clone(inside), func(p string) bool {
				return slices.ContainsFunc(inside, func(q string) bool { return slices.Contains(imports[q], p) })
			})
			middle := func(p string) int { // of those above that import it
				sum, n := 0, 0
				for _, q := range packages {
					if at[q] != nil && slices.Contains(imports[q], p) {
						sum, n = sum+at[q][0], n+1
					}
				}
				return sum / max(n, 1)
			}
			slices.SortStableFunc(row, func(a, b string) int { return middle(a) - middle(b) })
			inside = slices.DeleteFunc(inside, func(p string) bool { return slices.Contains(row, p) })
			for part := range slices.Chunk(row, across) {
				for i, p := range part {
					x := margin + (across-len(part))*pitchX/2 + i*pitchX + pitchX/2
					at[p] = &[2]int{x, y}
					name := cmp.Or(strings.TrimPrefix(strings.TrimPrefix(p, room[0]), "/"), room[0])
					fmt.Fprintf(&boxes, "<rect x=\"%d\" y=\"%d\" width=\"%d\" height=\"%d\" rx=\"5\"/><text x=\"%d\" y=\"%d\">%s</text>\n", x-boxWidth/2, y, boxWidth, boxHeight, x, y+18, name)
				}
				y += pitchY
			}
		}
		y -= pitchY - boxHeight - margin
		fmt.Fprintf(&floor, "<rect x=\"%d\" y=\"%d\" width=\"%d\" height=\"%d\" fill=\"%s\"/><text class=\"room\" x=\"%d\" y=\"%d\">%s</text>\n", margin/2, top, across*pitchX+margin, y-top, room[1], margin+4, top+20, room[0])
		y += margin
	}
	for _, from := range packages {
		for _, to := range imports[from] {
			if slices.ContainsFunc(imports[from], func(p string) bool { return p != to && reaches(imports, p, to) }) {
				continue
			}
			a, b := at[from], at[to]
			half := (a[1] + boxHeight + b[1]) / 2
			fmt.Fprintf(&arrows, "<path d=\"M%d %dC%d %d %d %d %d %d\"><title>%s imports %s</title></path>\n", a[0], a[1]+boxHeight, a[0], half, b[0], half, b[0], b[1], from, to)
		}
	}
	fmt.Fprintf(&out, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" font-family="sans-serif" font-size="13" text-anchor="middle">
<style>.room{font-weight:bold;font-size:16px;text-anchor:start}.boxes rect{fill:#fff;stroke:#475569}path{fill:none;stroke:#64748b;stroke-opacity:.55;marker-end:url(#tip)}path:hover{stroke:#dc2626;stroke-width:3;stroke-opacity:1}</style>
<defs><marker id="tip" viewBox="0 0 6 6" refX="6" refY="3" markerWidth="6" markerHeight="6" orient="auto"><path d="M0 0L6 3L0 6z" style="fill:#64748b;stroke:none;marker-end:none"/></marker></defs>
<rect width="100%%" height="100%%" fill="#fff"/>
%s<g>
%s</g><g class="boxes">
%s</g></svg>
`, across*pitchX+2*margin, y, floor.Bytes(), arrows.Bytes(), boxes.Bytes())
	return out.Bytes()
}
