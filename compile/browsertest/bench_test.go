//go:build browser

package browsertest

import (
	"bytes"
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"image/jpeg"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"matchmark/procedure/record"
)

const (
	outPage  = "procedure/mixer-gearbox-out/steps-belt.html"
	backPage = "procedure/mixer-gearbox-out-back/steps-belt.html"
)

// TestBench writes a job down as a bench does: from a folder, with fingers, through
// closed browsers, on tablets that keep nothing, and on two tablets.
func TestBench(t *testing.T) {
	s := compileDemo(t)
	for _, look := range []struct {
		name string
		test func(*testing.T, *site)
	}{
		{"finding in two touches", findingInTwoTouches},
		{"something else, edited and withdrawn", findingInOwnWords},
		{"photo", photoOfAFinding},
		{"storage refused", storageRefused},
		{"photos refused", photosRefused},
		{"measured value", measuredValue},
		{"saved and opened elsewhere", savedAndOpened},
		{"hostile files", hostileFiles},
		{"repair gates", repairGates},
		{"work stops", workStops},
		{"reading ahead to the end", readingAhead},
		{"signature", signature},
		{"starting over keeps the old job", startingOverKeeps},
		{"two windows", twoWindows},
		{"accessibility", benchAccessibility},
	} {
		t.Run(look.name, func(t *testing.T) {
			t.Parallel() // much of a test is waiting
			look.test(t, s)
		})
	}
}

// at opens a step of a page and waits until it is shown.
func (b *tab) at(s *site, at, step string) {
	b.t.Helper()
	b.visit(s.file(at)) // a link to the step itself would only read ahead
	b.waitFor(`document.querySelector(".step.shown") !== null && Boolean(window.matchmark.job)`)
	b.step(step)
}

// passHolds confirms every hold point of the page, so that any step can be worked on.
func (b *tab) passHolds() {
	b.t.Helper()
	eval[bool](b, `[...document.querySelectorAll("[data-hold]")].forEach(i => matchmark.job.confirm(i.dataset.hold, i.type === "text" ? "AB" : true)), true`)
}

// record returns the job's record as the page has it.
func (b *tab) record() *record.Record {
	b.t.Helper()
	text := eval[string](b, `JSON.stringify(matchmark.job.record())`)
	r, err := record.Read([]byte(text))
	if err != nil {
		b.t.Fatalf("the page's record cannot be read: %v\n%s", err, text)
	}
	return r
}

// only returns the one finding of a record.
func only(t *testing.T, r *record.Record) (string, record.Finding) {
	t.Helper()
	if len(r.Findings) != 1 {
		t.Fatalf("%d findings, want one: %v", len(r.Findings), r.Findings)
	}
	for name, f := range r.Findings {
		return name, f
	}
	return "", record.Finding{}
}

// find makes a finding of a step's first thing by two touches.
func (b *tab) find(kind string) {
	b.t.Helper()
	b.tap("#ui_open-finding")
	b.waitFor(`document.querySelector("#ui_finding").open`)
	eval[bool](b, `document.querySelector('#ui_finding [data-pick^="thing "]').setAttribute("data-first", ""), true`)
	b.tap("#ui_finding [data-first]")
	b.tap(fmt.Sprintf(`#ui_finding [data-pick="kind %s"]`, kind))
}

// upload hands a file to a field for files.
func (b *tab) upload(selector, file string) {
	b.t.Helper()
	b.do(chromedp.SetUploadFiles(selector, []string{file}))
}

const badge = `document.querySelector("#ui_finding-count").textContent`

func findingInTwoTouches(t *testing.T, s *site) {
	profile := newProfile(t)
	b := openTab(t, profile)
	b.at(s, outPage, "slack-drive")
	b.find("worn")
	_, f := only(t, b.record()) // kept with the second touch
	want := record.Finding{Phase: record.Removal, Step: "slack-drive", Thing: "4", Name: "Tension screw lock nut", Kind: record.Worn, Severity: record.BeforeRefit, Before: "slack-drive-back"}
	if f.Phase != want.Phase || f.Step != want.Step || f.Thing != want.Thing || f.Name != want.Name || f.Kind != want.Kind || f.Severity != want.Severity || f.Before != want.Before {
		t.Errorf("the finding is %+v, want %+v", f, want)
	}
	b.tap(`#ui_finding input[value="stops-work"]`)
	b.tap("#ui_finding-words")
	b.do(chromedp.KeyEvent("Two flats are round")) // and the lid is shut in the middle of it
	for _, width := range []int{768, 1024} {
		b.resize(width)
		b.wantLargeTargets("details of a finding")
	}
	b.wantQuiet("file://" + s.dir)
	b.close()

	b = openTab(t, profile)
	b.at(s, outPage, "slack-drive")
	if _, f := only(t, b.record()); f.Words != "Two flats are round" || f.Severity != record.StopsWork {
		t.Errorf("after the browser was closed the finding is %+v", f)
	}
	if got := eval[string](b, badge); got != "1" {
		t.Errorf("the button counts %q findings", got)
	}
}

func findingInOwnWords(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	b.at(s, outPage, "slack-drive")
	b.tap("#ui_open-finding")
	b.tap(`#ui_finding [data-pick="other"]`)
	b.do(chromedp.KeyEvent(`<img src=x onerror="window.hacked=1">`))
	b.tap(`#ui_finding [data-pick="kind missing"]`)
	name, f := only(t, b.record())
	if f.Other != `<img src=x onerror="window.hacked=1">` || f.Thing != "" || f.Kind != record.Missing {
		t.Errorf("the finding is %+v", f)
	}
	b.tap("#ui_all-findings")
	b.wantLargeTargets("list of findings")
	if got := eval[string](b, `document.querySelector(".finding-list").textContent`); !strings.Contains(got, f.Other) {
		t.Errorf("the list says %q", got)
	}
	press := func(word string) {
		t.Helper()
		b.waitFor(fmt.Sprintf(`[...document.querySelectorAll("#ui_finding button")].some(x => x.textContent === %q)`, word))
		eval[bool](b, fmt.Sprintf(`document.querySelectorAll("[data-now]").forEach(x => x.removeAttribute("data-now")), [...document.querySelectorAll("#ui_finding button")].find(x => x.textContent === %q).setAttribute("data-now", ""), true`, word))
		b.tap("[data-now]")
	}
	press("Withdraw")
	if got := eval[string](b, badge); got != "" || !b.record().Findings[name].Withdrawn {
		t.Errorf("a withdrawn finding is counted: %q", got)
	}
	press("Restore")
	if got := eval[string](b, badge); got != "1" || b.record().Findings[name].Withdrawn {
		t.Errorf("a finding that was put back is not counted: %q", got)
	}
	press("Edit")
	press("Change")
	b.tap(`#ui_finding [data-pick="kind bad-repair"]`)
	if _, f := only(t, b.record()); f.Kind != record.BadRepair || f.Other == "" {
		t.Errorf("after a change the finding is %+v", f)
	}
	if eval[bool](b, `"hacked" in window`) {
		t.Error("a script in a name ran")
	}
	// Another thing of the machine, by its name.
	b.press(kb.Escape)
	b.waitFor(`!document.querySelector("#ui_finding").open`)
	b.tap("#ui_open-finding")
	press("Another part …")
	b.do(chromedp.KeyEvent("belts"))
	b.waitFor(`document.querySelectorAll('#ui_finding [data-pick="thing belts"]').length === 1`)
	b.tap(`#ui_finding [data-pick="thing belts"]`)
	b.tap(`#ui_finding [data-pick="kind damaged"]`)
	if n := len(b.record().Findings); n != 2 {
		t.Errorf("%d findings, want two", n)
	}
	b.wantQuiet("file://" + s.dir)
}

func photoOfAFinding(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	b.at(s, outPage, "slack-drive")
	b.find("damaged")
	// A photo of 96 by 64 that a turned camera took; Chromium itself says how it stands upright.
	file := filepath.Join(t.TempDir(), "turned.jpg")
	photo := photoWithOrientation(t, 6)
	if err := os.WriteFile(file, photo, 0o666); err != nil {
		t.Fatal(err)
	}
	b.upload(`#ui_finding [data-photo="file"]`, file)
	b.waitFor(`document.querySelectorAll("#ui_finding .photo img").length === 1 && document.querySelector("#ui_finding .photo img").naturalWidth > 0`)
	name, kept := b.photo()
	if got := b.record().Photos[name]; got.Width != 64 || got.Height != 96 {
		t.Errorf("the turned photo is %d by %d, want it upright", got.Width, got.Height)
	}
	if want, got := b.corners(photo), b.corners(kept); !slices.Equal(got, want) {
		t.Errorf("the kept photo shows %v, Chromium the file as %v", got, want)
	}
	// One that is larger than what is kept.
	large := filepath.Join(t.TempDir(), "large.png")
	if err := os.WriteFile(large, noise(t, 2400, 3200), 0o666); err != nil {
		t.Fatal(err)
	}
	b.upload(`#ui_finding [data-photo="camera"]`, large)
	b.waitFor(`document.querySelectorAll("#ui_finding .photo img").length === 2`)
	name, kept = b.photo()
	if got := b.record().Photos[name]; got.Width != 1200 || got.Height != 1600 || len(kept) > record.MostPhotoBytes {
		t.Errorf("the large photo is %d by %d with %d bytes", got.Width, got.Height, len(kept))
	}
	// A file that is no picture.
	text := filepath.Join(t.TempDir(), "note.jpg")
	if err := os.WriteFile(text, []byte("no picture"), 0o666); err != nil {
		t.Fatal(err)
	}
	b.upload(`#ui_finding [data-photo="file"]`, text)
	b.waitFor(`document.querySelector("#ui_finding [role=alert]").textContent.includes("cannot read that file as a picture")`)
	if _, f := only(t, b.record()); len(f.Photos) != 2 {
		t.Errorf("%d photos, want two", len(f.Photos))
	}
}

// photo returns the last photo of the job's one finding, as the device keeps it; its bytes are those of its name.
func (b *tab) photo() (name string, data []byte) {
	b.t.Helper()
	_, f := only(b.t, b.record())
	name = f.Photos[len(f.Photos)-1]
	data, err := base64.StdEncoding.DecodeString(eval[string](b, fmt.Sprintf(`matchmark.photos.get(%q).then(p => p.arrayBuffer()).then(a => btoa([...new Uint8Array(a)].map(c => String.fromCharCode(c)).join("")))`, name)))
	if err != nil {
		b.t.Fatal(err)
	}
	if sum := sha256.Sum256(data); hex.EncodeToString(sum[:]) != name {
		b.t.Errorf("the photo %s has other bytes", name)
	}
	if c, err := jpeg.DecodeConfig(bytes.NewReader(data)); err != nil || max(c.Width, c.Height) > record.PhotoSide {
		b.t.Errorf("the photo is %+v, %v", c, err)
	}
	return name, data
}

// before runs a script in each page before the page's own.
func (b *tab) before(script string) {
	b.t.Helper()
	if _, err := chromedp.Call(b.ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: script}); err != nil {
		b.t.Fatal(err)
	}
}

// downloads makes the browser save files into a folder, and returns a function that waits for the newest.
func (b *tab) downloads() func() (name string, data []byte) {
	b.t.Helper()
	dir := b.t.TempDir()
	if _, err := chromedp.CallBrowser(b.ctx, browser.SetDownloadBehavior, browser.SetDownloadBehaviorParams{
		Behavior: browser.SetDownloadBehaviorBehaviorAllow, DownloadPath: dir,
	}); err != nil {
		b.t.Fatal(err)
	}
	return func() (string, []byte) {
		b.t.Helper()
		var file string
		var data []byte
		if !until(b.t, forPage, func() bool {
			files, err := filepath.Glob(filepath.Join(dir, "*.json"))
			if err != nil || len(files) == 0 {
				return false
			}
			file = files[0]
			data, err = os.ReadFile(file)
			return err == nil && bytes.HasSuffix(data, []byte("}\n"))
		}) {
			b.t.Fatal("no file was saved")
		}
		if err := os.Remove(file); err != nil {
			b.t.Fatal(err)
		}
		return filepath.Base(file), data
	}
}

// A tablet whose storage is full from the start: it says so at once, what was typed stays, and the file has all of it.
func storageRefused(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	b.before(`Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); }; Object.defineProperty(window, "indexedDB", { get() { throw new DOMException("no", "SecurityError"); } });`)
	saved := b.downloads()
	b.at(s, outPage, "slack-drive")
	b.waitFor(`document.querySelector("#ui_notices").textContent.includes("cannot store data")`)
	b.find("leaking")
	b.waitFor(`document.querySelector("#ui_finding [role=alert]").textContent.includes("Save the record as a file now")`)
	b.tap("#ui_finding-words")
	b.do(chromedp.KeyEvent("Drops at the plug"))
	file := filepath.Join(t.TempDir(), "a.jpg")
	if err := os.WriteFile(file, photoWithOrientation(t, 1), 0o666); err != nil {
		t.Fatal(err)
	}
	b.upload(`#ui_finding [data-photo="file"]`, file)
	b.waitFor(`document.querySelector("#ui_finding [role=alert]").textContent.includes("the photo is lost when you close the page")`)
	if got := eval[string](b, `document.querySelector("#ui_finding-words").value`); got != "Drops at the plug" {
		t.Errorf("the field holds %q", got)
	}
	b.tap("#ui_finding [role=alert] .notice-line:last-child button")
	_, data := saved()
	r, err := record.Read(data)
	if err != nil {
		t.Fatal(err)
	}
	_, f := only(t, r)
	if f.Words != "Drops at the plug" || len(f.Photos) != 1 || r.Photos[f.Photos[0]].Data == "" {
		t.Errorf("the file has %+v", f)
	}
}

// hardlyRoom is a browser that does not promise to leave what it keeps, and has 9 MB left.
const hardlyRoom = `Object.defineProperty(navigator, "storage", { value: { persist: async () => false, estimate: async () => ({ quota: 1e9, usage: 1e9 - 9e6 }) } });`

// A tablet that keeps records but is full when a photo comes. That it may take the record away too is said from the finding on.
func photosRefused(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	b.before(hardlyRoom + `IDBObjectStore.prototype.put = () => { throw new DOMException("full", "QuotaExceededError"); };`)
	b.at(s, outPage, "slack-drive")
	b.find("leaking")
	b.waitFor(`document.querySelector("#ui_finding [role=alert]").textContent.includes("may delete what is recorded")`)
	b.waitFor(`document.querySelector("#ui_notices").textContent.includes("may delete what is recorded")`)
	if _, f := only(t, b.record()); f.Kind != record.Leaking {
		t.Errorf("the record has %+v", f)
	}
	file := filepath.Join(t.TempDir(), "a.jpg")
	if err := os.WriteFile(file, photoWithOrientation(t, 1), 0o666); err != nil {
		t.Fatal(err)
	}
	b.upload(`#ui_finding [data-photo="file"]`, file)
	b.waitFor(`document.querySelector("#ui_finding [role=alert]").textContent.includes("The tablet is full: the photo is lost")`)
	b.waitFor(`document.querySelectorAll("#ui_finding .photo img").length === 1`)
}

func measuredValue(t *testing.T, s *site) {
	profile := newProfile(t)
	b := openTab(t, profile)
	b.at(s, backPage, "coupling-back-back")
	b.passHolds()
	const row = "coupling-back-back--inspect-coupling"
	state := func(want string, findings int) {
		t.Helper()
		b.waitFor(fmt.Sprintf(`document.getElementById(%q).dataset.state === %q && matchmark.job.findings().length === %d`, row, want, findings))
	}
	write := func(text string) {
		t.Helper()
		eval[bool](b, fmt.Sprintf(`document.getElementById(%q).select(), true`, row+"--tick"))
		b.tap("#" + row + "--tick")
		b.do(chromedp.KeyEvent(text))
	}
	said := func() string {
		return eval[string](b, fmt.Sprintf(`document.getElementById(%q).textContent`, row+"--verdict"))
	}
	b.wantLargeTargets("measured value")
	write("x")
	state("none", 0)
	write(kb.Backspace + "3,5")
	state("out", 0) // not before the field is left: 3 was on the way to 3,5
	b.press(kb.Tab)
	state("out", 1)
	if got := said(); !strings.Contains(got, "Out of limits") || !strings.Contains(got, "2 mm to 3 mm") {
		t.Errorf("the row says %q", got)
	}
	r := b.record()
	name, f := only(t, r)
	if want := "m-back/" + row; name != want || f.Measured != "back/"+row || f.Kind != record.Worn || f.Before != "coupling-back-back" || f.Words != "Gap between the halves, at three places: 3.5 mm (limits: 2 mm to 3 mm)" {
		t.Errorf("the finding %s is %+v", name, f)
	}
	if m := r.Measured["back/"+row]; m.Value != "3.5" || m.Unit != "mm" || m.Low != "2 mm" || m.High != "3 mm" || !r.Ticks["back/"+row].Value {
		t.Errorf("the measurement is %+v, ticked %v", m, r.Ticks["back/"+row].Value)
	}
	write(strings.Repeat(kb.Backspace, 3) + "2.5" + kb.Tab) // the step waits for the repair, its values do not
	state("within", 0)
	if got := said(); got != "Within limits" {
		t.Errorf("the row says %q", got)
	}
	// A lid that is shut while a value is typed: the finding is made when the page opens again.
	write(strings.Repeat(kb.Backspace, 3) + "9")
	b.close()
	b = openTab(t, profile)
	b.at(s, backPage, "coupling-back-back")
	state("out", 1)
	// Somebody writes on the finding: a corrected value no longer takes it back.
	eval[bool](b, fmt.Sprintf(`matchmark.job.find(%q, { repair: "New spider" }), true`, name))
	write(kb.Backspace + "2" + kb.Tab)
	state("within", 1)
	b.wantQuiet("file://" + s.dir)
}

func savedAndOpened(t *testing.T, s *site) {
	first, second := openTab(t, newProfile(t)), openTab(t, newProfile(t))
	saved, again := first.downloads(), second.downloads()
	first.at(s, outPage, "slack-drive")
	first.find("damaged")
	file := filepath.Join(t.TempDir(), "a.jpg")
	if err := os.WriteFile(file, photoWithOrientation(t, 1), 0o666); err != nil {
		t.Fatal(err)
	}
	first.upload(`#ui_finding [data-photo="file"]`, file)
	first.waitFor(`document.querySelectorAll("#ui_finding .photo img").length === 1`)
	first.press(kb.Escape)
	save := func(b *tab) {
		t.Helper()
		eval[bool](b, `document.querySelector("#ui_list").open || document.querySelector("#ui_open-list").click(), true`)
		b.tap("#ui_job-save")
	}
	save(first)
	name, data := saved()
	r, err := record.Read(data)
	if err != nil {
		t.Fatal(err)
	}
	if want := "matchmark-mixer-gearbox-out-belt-"; !strings.HasPrefix(name, want) || !strings.HasSuffix(name, "-"+r.Job[:4]+".json") {
		t.Errorf("the file is called %s", name)
	}
	if canonical, err := r.Write(); err != nil || !bytes.Equal(canonical, data) {
		t.Errorf("the file is not as the record's package writes it: %v", err)
	}
	open := func(b *tab, data []byte) {
		t.Helper()
		at := filepath.Join(t.TempDir(), "record.json")
		if err := os.WriteFile(at, data, 0o666); err != nil {
			t.Fatal(err)
		}
		eval[bool](b, `document.querySelector("#ui_list").open || document.querySelector("#ui_open-list").click(), true`)
		b.upload("#ui_job-file", at)
	}
	second.at(s, outPage, "slack-drive")
	open(second, data)
	second.waitFor(fmt.Sprintf(`matchmark.job.record().job === %q`, r.Job))
	_, f := only(t, second.record())
	if !eval[bool](second, fmt.Sprintf(`matchmark.photos.get(%q).then(Boolean)`, f.Photos[0])) {
		t.Error("the photo did not come along")
	}
	// Both go on, and each opens what the other saved.
	eval[bool](first, `matchmark.job.tickRow("slack-drive--loosen-4", true), matchmark.job.nameMachine("No. 4"), true`)
	eval[bool](second, `matchmark.job.tickRow("slack-drive--loosen-3", true), matchmark.job.find("z".repeat(26), { way: "out", step: "slack-drive", other: "Hose", name: "Hose", kind: "leaking", severity: "watch" }), true`)
	save(first)
	_, a := saved()
	save(second)
	_, b := again()
	open(first, b)
	open(second, a)
	for _, x := range []*tab{first, second} {
		x.waitFor(`matchmark.job.findings().length === 2 && matchmark.job.machine() === "No. 4"`)
		if got := eval[[]string](x, `["slack-drive--loosen-3--tick", "slack-drive--loosen-4--tick"].filter(id => document.getElementById(id).checked)`); len(got) != 2 {
			t.Errorf("ticked on the page: %v", got)
		}
	}
	var records [2]*record.Record
	for i, data := range [][]byte{a, b} {
		if records[i], err = record.Read(data); err != nil {
			t.Fatal(err)
		}
	}
	want, err := record.Merge(records[0], records[1]).Write()
	if err != nil {
		t.Fatal(err)
	}
	for _, order := range []string{"a, b", "b, a"} {
		got := eval[string](first, fmt.Sprintf(`((a, b) => matchmark.canonical(matchmark.mergeRecords(%s)))(%s, %s)`, order, a, b))
		if got+"\n" != string(want) {
			t.Errorf("merging %s gives other bytes than the record's package", order)
		}
	}
	// Another job of the same procedure asks first.
	third := openTab(t, newProfile(t))
	third.at(s, outPage, "slack-drive")
	eval[bool](third, `matchmark.job.tickRow("slack-drive--loosen-5", true), true`)
	open(third, a)
	third.waitFor(`document.querySelectorAll("#ui_list .told-of button").length === 3`)
	third.tap("#ui_list .told-of button:first-of-type")
	third.waitFor(fmt.Sprintf(`matchmark.job.record().job === %q`, r.Job))
	third.waitFor(`document.querySelectorAll("#ui_list .earlier li").length === 1`)
	first.wantQuiet("file://" + s.dir)
	second.wantQuiet("file://" + s.dir)
}

func hostileFiles(t *testing.T, s *site) {
	inTestAll(t)
	b := openTab(t, newProfile(t))
	b.at(s, outPage, "slack-drive")
	eval[bool](b, `matchmark.job.tickRow("slack-drive--loosen-4", true), true`)
	good := func(change func(map[string]any)) string {
		r := map[string]any{}
		if err := json.Unmarshal([]byte(eval[string](b, `JSON.stringify(matchmark.job.record())`)), &r); err != nil {
			t.Fatal(err)
		}
		change(r)
		text, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	eval[bool](b, `document.querySelector("#ui_open-list").click(), true`)
	for name, c := range map[string]struct{ content, says string }{
		"no record":  {"\x00\x01\x02", "is not a job record"},
		"other JSON": {`{"a": 1}`, "Choose one saved by a tablet"},
		"newer":      {good(func(r map[string]any) { r["version"] = 3 }), "newer edition"},
		"damaged":    {good(func(r map[string]any) { r["ticks"] = map[string]any{"out/<b>": 1} }), "ticks/out/<b>"},
		"photo that is another": {good(func(r map[string]any) {
			r["photos"] = map[string]any{strings.Repeat("0", 64): map[string]any{"type": "image/jpeg", "width": 1, "height": 1, "data": "AAAA"}}
		}), "not what its name says"},
		"other procedure": {good(func(r map[string]any) { r["procedure"] = "oven-fan-out"; delete(r, "variant") }), "oven-fan-out"},
	} {
		at := filepath.Join(t.TempDir(), "x.json")
		if err := os.WriteFile(at, []byte(c.content), 0o666); err != nil {
			t.Fatal(err)
		}
		was := eval[string](b, `matchmark.canonical(matchmark.job.record().ticks)`)
		b.upload("#ui_job-file", at)
		b.waitFor(fmt.Sprintf(`document.querySelector("#ui_list .told-of").textContent.includes(%q)`, c.says))
		if now := eval[string](b, `matchmark.canonical(matchmark.job.record().ticks)`); now != was {
			t.Errorf("%s: the job changed", name)
		}
	}
	if got := eval[string](b, `(document.querySelector("#ui_list .told-of a") || {}).href || ""`); got != "" && got != s.file("procedure/oven-fan-out/steps.html") {
		t.Errorf("the other procedure's page is said to be %s", got)
	}
	// A script in names is text, wherever it shows.
	const script = `<img src=x onerror="window.hacked=1">`
	at := filepath.Join(t.TempDir(), "script.json")
	content := good(func(r map[string]any) {
		r["machine"].(map[string]any)["value"] = script
		r["machine"].(map[string]any)["at"] = 4_000_000_000_000
		r["findings"] = map[string]any{strings.Repeat("f", 26): map[string]any{
			"way": "out", "step": "slack-drive", "other": script, "name": script, "kind": "worn", "severity": "stops-work", "words": script,
			"found": 1, "at": 1, "tablet": strings.Repeat("t", 26), "by": script,
		}}
	})
	if err := os.WriteFile(at, []byte(content), 0o666); err != nil {
		t.Fatal(err)
	}
	b.upload("#ui_job-file", at)
	b.waitFor(`matchmark.job.findings().length === 1`)
	b.press(kb.Escape)
	b.visit(s.file(backPage))
	b.waitFor(`document.querySelectorAll("[data-repair]").length === 1`)
	b.tap("#ui_open-finding")
	b.tap("#ui_all-findings")
	for _, place := range []string{"#ui_notices", ".repairs", ".finding-list"} {
		if got := eval[string](b, fmt.Sprintf(`document.querySelector(%q).textContent`, place)); !strings.Contains(got, script) {
			t.Errorf("%s says %q", place, got)
		}
	}
	if eval[bool](b, `"hacked" in window || document.querySelector('img[src="x"]') !== null`) {
		t.Error("a script of a record ran")
	}
	b.wantQuiet("file://" + s.dir)
}

func repairGates(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	b.at(s, outPage, "slack-drive")
	b.find("worn") // waits at slack-drive-back
	eval[bool](b, `matchmark.job.find("s".repeat(26), { way: "out", step: "slack-drive", other: "Floor", name: "Floor", kind: "contaminated", severity: "before-refit" }), true`)
	shut := func() string {
		return eval[string](b, `document.querySelector("#ui_next").getAttribute("aria-disabled")`)
	}
	repairs := func() []string {
		return eval[[]string](b, `[...document.querySelectorAll(".step.shown [data-repair]")].map(e => e.closest(".row").textContent)`)
	}
	// What waits for no step waits before the first.
	b.at(s, backPage, eval[string](b, `JSON.parse(document.getElementById("ui_job").textContent).back[0][0]`))
	b.passHolds()
	if got := repairs(); len(got) != 1 || !strings.Contains(got[0], "Floor: contaminated") || shut() != "true" {
		t.Errorf("the first step waits for %q, next is shut: %s", got, shut())
	}
	if open := eval[int](b, `document.querySelectorAll(".step.shown [data-tick]:enabled").length`); open != 0 {
		t.Errorf("%d actions can be ticked before the repair", open)
	}
	b.tap("#ui_next")
	if got := eval[string](b, `document.querySelector("#ui_state").textContent`); !strings.Contains(got, "1 repair") {
		t.Errorf("the bar says %q", got)
	}
	b.wantLargeTargets("repairs")
	b.tap(".step.shown [data-repair]")
	if shut() != "false" || eval[int](b, `document.querySelectorAll(".step.shown [data-tick]:enabled").length`) == 0 {
		t.Error("the repair is ticked and the step is still shut")
	}
	b.at(s, backPage, "slack-drive-back")
	if got := repairs(); len(got) != 1 || !strings.Contains(got[0], "Tension screw lock nut (4): worn") || shut() != "true" {
		t.Errorf("the step waits for %q, next is shut: %s", got, shut())
	}
	b.tap(".step.shown [data-repair]")
	b.do(chromedp.Reload())
	b.waitFor(`document.querySelector(".step.shown [data-repair]:checked") !== null`)
	if shut() != "false" {
		t.Error("the repair is forgotten after the page was opened again")
	}
	if r := b.record(); len(r.Repairs) != 2 {
		t.Errorf("repairs in the record: %v", r.Repairs)
	}
	b.wantQuiet("file://" + s.dir)
}

func workStops(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	b.at(s, outPage, "slack-drive")
	b.find("leaking")
	b.tap(`#ui_finding input[value="stops-work"]`)
	for _, at := range []string{outPage, backPage} {
		b.visit(s.file(at))
		b.waitFor(`document.querySelector("#ui_notices .stops") !== null`)
		b.wantLargeTargets("work stops")
		if eval[string](b, `document.querySelector("#ui_next").getAttribute("aria-disabled")`) != "true" {
			t.Errorf("%s: the work goes on", at)
		}
	}
	b.tap("#ui_notices .stops button")
	b.wantLargeTargets("a look")
	b.do(chromedp.KeyEvent("TB"))
	b.tap("#ui_look .main")
	b.waitFor(`document.querySelector("#ui_notices .stops") === null`)
	b.waitFor(`document.querySelector("#ui_notices").textContent.includes("Not proved")`)
	name, _ := only(t, b.record())
	if c := b.record().Confirmed[record.StopKey(name)]; !c.Given || c.Text != "TB" {
		t.Errorf("the record does not say that somebody looked: %+v", c)
	}
	b.at(s, outPage, "slack-drive")
	if eval[bool](b, `document.querySelector("#ui_notices .stops") !== null`) {
		t.Error("the work still stops")
	}
}

// The class host is played by hand: it says that it is there, and later brings a signature.
func signature(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	b.visit(s.file(outPage))
	b.waitFor(`Boolean(window.matchmark.job)`)
	row := eval[string](b, `document.querySelector(".row.sign").id`)
	step := eval[string](b, `document.querySelector(".row.sign").closest(".step").id`)
	b.at(s, outPage, step)
	b.passHolds()
	eval[bool](b, fmt.Sprintf(`matchmark.job.confirm(%q, ""), true`, row))
	ask := "#" + row + " button[aria-pressed]"
	if eval[bool](b, fmt.Sprintf(`document.querySelector(%q).checkVisibility()`, ask)) {
		t.Error("without a class host there is nobody to ask")
	}
	eval[bool](b, `matchmark.host = true, document.dispatchEvent(new Event("matchmark:host")), true`)
	b.wantLargeTargets("signature")
	b.tap(ask)
	tablet := eval[string](b, `JSON.parse(localStorage.getItem("matchmark.tablet")).name`)
	if got := b.record().Tablets[tablet].Waits; got != row {
		t.Errorf("the record says that the tablet waits for %q", got)
	}
	// A seal of another key's counts for nothing, one that holds does.
	take := func(s record.Signature) {
		t.Helper()
		text, err := json.Marshal(map[string]record.Signature{"out/" + row: s})
		if err != nil {
			t.Fatal(err)
		}
		eval[bool](b, fmt.Sprintf(`(r => (r.signed = %s, matchmark.job.take(r) === null))(JSON.parse(JSON.stringify(matchmark.job.record())))`, text))
	}
	_, private, err := ed25519.GenerateKey(nil)
	if err != nil {
		t.Fatal(err)
	}
	salt := strings.Repeat("0", 32)
	sealed := record.Seal(b.record(), "out/"+row, record.Signature{Who: record.Pseudonym("R. Vogt", salt), Name: "R. Vogt", Salt: salt, At: 1_790_000_000_000}, private)
	forged := sealed
	forged.Name, forged.At = "X. Y.", sealed.At-1
	take(forged)
	b.waitFor(fmt.Sprintf(`document.querySelector("#%s .signed").textContent.includes("is not valid") && document.querySelector("#%s button[aria-pressed]").checkVisibility()`, row, row))
	if shut := eval[string](b, `document.querySelector("#ui_next").getAttribute("aria-disabled")`); shut != "true" {
		t.Error("a forged signature opens the hold point")
	}
	take(sealed)
	b.waitFor(fmt.Sprintf(`document.querySelector("#%s .signed").textContent.includes("Signed by R. Vogt") && !document.querySelector("#%s input").checkVisibility()`, row, row))
	if got := b.record().Tablets[tablet].Waits; got != "" {
		t.Errorf("the tablet still waits for %q", got)
	}
	if shut := eval[string](b, `document.querySelector("#ui_next").getAttribute("aria-disabled")`); shut != "false" {
		t.Error("the hold point is signed and next is still shut")
	}
	b.wantQuiet("file://" + s.dir)
}

func startingOverKeeps(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	b.at(s, outPage, "slack-drive")
	b.find("worn")
	b.press(kb.Escape)
	old := b.record().Job
	b.tap("#ui_open-list")
	b.tap("#ui_start-over")
	b.tap("#ui_start-over-yes")
	b.waitFor(`!document.querySelector("#ui_list").open`)
	if r := b.record(); r.Job == old || len(r.Findings) != 0 {
		t.Errorf("the new job is %s with %d findings", r.Job, len(r.Findings))
	}
	b.tap("#ui_open-list")
	b.waitFor(`document.querySelectorAll("#ui_list .earlier li").length === 1`)
	b.wantLargeTargets("earlier jobs")
	b.tap("#ui_list .earlier li button:nth-of-type(3)")
	if n := eval[int](b, `document.querySelectorAll("#ui_list .earlier li").length`); n != 1 {
		t.Error("one touch took the earlier job away")
	}
	b.tap("#ui_list .earlier li button:nth-of-type(1)")
	b.waitFor(fmt.Sprintf(`matchmark.job.record().job === %q && matchmark.job.findings().length === 1`, old))
	b.waitFor(`document.querySelectorAll("#ui_list .earlier li").length === 0`)
	b.wantQuiet("file://" + s.dir)
}

func twoWindows(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	b.at(s, outPage, "slack-drive")
	b.passHolds()
	ctx, _ := chromedp.NewContext(b.ctx)
	other := &tab{t: t, ctx: ctx, small: map[string]bool{}}
	other.do(chromedp.EmulateViewport(768, 1024, chromedp.EmulateTouch))
	other.at(s, outPage, "slack-drive")
	other.tap("#slack-drive--loosen-4--tick")
	b.waitFor(`document.getElementById("slack-drive--loosen-4--tick").checked`)
	b.tap("#slack-drive--loosen-3--tick")
	other.waitFor(`document.getElementById("slack-drive--loosen-3--tick").checked`)
	if r := b.record(); !r.Ticks["out/slack-drive--loosen-3"].Value || !r.Ticks["out/slack-drive--loosen-4"].Value {
		t.Errorf("ticks %v", r.Ticks)
	}
}

// benchAccessibility runs axe-core over what the scripts build, in both themes and positions.
// readingAhead looks at the closing page while next to nothing is done: it says how much is
// open and leads to the first of it, and the tablet stays where the work is.
func readingAhead(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	b.at(s, outPage, "ui_end")
	const title, first = `document.querySelector("#ui_end--title").textContent`, `document.querySelector("#ui_end-first")`
	steps := eval[int](b, `JSON.parse(document.getElementById("ui_job").textContent).steps.length`)
	if got, want := eval[string](b, title), fmt.Sprintf("%d steps are still open", steps); got != want {
		t.Errorf("with nothing ticked the closing page says %q, want %q", got, want)
	}
	if got := eval[string](b, `document.querySelector("#ui_end-open").textContent`); strings.Contains(got, "All actions") {
		t.Errorf("with nothing ticked the closing page says %q", got)
	}
	for name, tablet := range b.record().Tablets {
		if tablet.Step == "ui_end" {
			t.Errorf("tablet %s is written down as being through", name)
		}
	}
	if got := eval[string](b, first+`.textContent`); !strings.HasPrefix(got, "To step 1: ") {
		t.Errorf("the way to the first open step says %q", got)
	}
	b.tap("#ui_end-first")
	b.waitFor(`document.querySelector(".step").matches(".shown")`)

	// All but one step done by another tablet, whose record comes in while the page is shown.
	b.at(s, outPage, "ui_end")
	eval[bool](b, `document.querySelectorAll(".step:not(#ui_end)").forEach((step, i) => {
		step.querySelectorAll("[data-hold]").forEach(x => matchmark.job.confirm(x.dataset.hold, x.type === "text" ? "AB" : true));
		step.querySelectorAll("[data-measure]").forEach(x => matchmark.job.measure(x.dataset.measure, {value: "1"}));
		step.querySelectorAll("[data-tick]").forEach(x => matchmark.job.tickRow(x.dataset.tick, true));
		if (i !== 1) matchmark.job.pass(step.id);
	}), true`)
	b.waitFor(title + `.startsWith("1 step is still open") && ` + first + `.textContent.startsWith("To step 2: ")`)
	eval[bool](b, `matchmark.job.pass(document.querySelectorAll(".step")[1].id), true`)
	b.waitFor(title + ` === "All steps are done" && ` + first + `.hidden`)
}

func benchAccessibility(t *testing.T, s *site) {
	inTestAll(t)
	script, err := os.ReadFile(axePath)
	if err != nil {
		t.Fatal(err)
	}
	b := openTab(t, newProfile(t))
	load := func(at, step string) {
		b.at(s, at, step)
		eval[bool](b, string(script)+"\n;true")
	}
	b.at(s, outPage, "belts-off")
	b.passHolds()
	for _, theme := range []string{"light", "dark"} {
		b.prefer(theme)
		for _, width := range []int{768, 1024} {
			b.resize(width)
			look := func(where string) {
				t.Helper()
				where = fmt.Sprintf("%s, %d wide, %s", theme, width, where)
				b.wantAccessible(where)
				b.wantLargeTargets(where)
				if wide := eval[int](b, `Math.max(document.documentElement.scrollWidth, ...[...document.querySelectorAll("dialog[open]")].map(d => d.getBoundingClientRect().right))`); wide > width {
					t.Errorf("%s: %d pixels wide", where, wide)
				}
			}
			load(outPage, "belts-off")
			eval[bool](b, `(field => (field.value = "", field.focus(), true))(document.querySelector(".step.shown [data-measure]"))`)
			b.do(chromedp.KeyEvent("11" + kb.Tab))
			b.waitFor(`document.querySelector(".step.shown .measured").dataset.state === "out"`)
			look("value out of limits")
			b.tap("#ui_open-finding")
			look("thing and kind")
			b.tap("#ui_finding .picks:first-of-type [aria-expanded]")
			look("other things")
			b.tap(`#ui_finding [data-pick="other"]`)
			b.do(chromedp.KeyEvent("Floor"))
			b.tap(`#ui_finding [data-pick="kind contaminated"]`)
			look("details")
			b.tap(`#ui_finding input[value="stops-work"]`)
			b.tap("#ui_all-findings")
			look("list of findings")
			b.press(kb.Escape)
			look("work stops")
			b.visit(s.file(outPage) + "#ui_end")
			b.waitFor(`document.querySelector("#ui_end").matches(".shown")`)
			eval[bool](b, string(script)+"\n;true")
			look("closing page")
			load(backPage, eval[string](b, `JSON.parse(document.getElementById("ui_job").textContent).back[0][0]`))
			look("repairs")
		}
	}
}
