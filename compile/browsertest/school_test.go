//go:build browser

package browsertest

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"gotest.tools/v3/assert"

	"matchmark/compile/host/pgtest"
)

// TestTwoWorkshopsOneBoard walks through two workshops of one database: accounts are given, the board over both shows what each does as it comes, and what
// was known last while the database is away.
func TestTwoWorkshopsOneBoard(t *testing.T) {
	inTestAll(t)
	wantTools(t)
	server := pgtest.Start(t, false)
	database := server.Database(t, "school")
	ovens := startWorkshop(t, buildCommand(t), database, "Ovens")
	mixers := startWorkshop(t, buildCommand(t), database, "Mixers")
	if ovens.who != "Administrator" || ovens.pin == "" || mixers.pin != "" {
		t.Fatalf("the first account: %q, and at the second host %q", ovens.who, mixers.pin)
	}
	mixers.who, mixers.pin = ovens.who, ovens.pin

	b := openTab(t, newProfile(t))
	address := ovens.plain.String()
	b.visit(address + "board/")
	b.waitFor(`!document.querySelector("#ui_pin-form").hidden`)
	b.signInAs(ovens.who, ovens.pin)
	b.wantLargeTargets("board of a workshop")

	// The head of training gets an account.
	b.tap(`a[href="/board/accounts/"]`)
	b.waitFor(`document.querySelector("#ui_give-name") !== null`)
	b.wantFits("accounts")
	b.fillIn("#ui_give-name", "Hana Voss")
	eval[bool](b, `document.querySelector("#ui_give-role").value = "head", true`)
	b.fillIn("#ui_give-password", "a first password"+kb.Enter)
	b.comes(`[...document.querySelectorAll(".board-accounts h3")].some(h => h.textContent.startsWith("Hana Voss"))`)
	b.visit(address + "board/")
	b.waitFor(`!document.querySelector("#ui_board").hidden`)
	b.tap("#ui_leave")
	b.waitFor(`!document.querySelector("#ui_pin-form").hidden`)
	b.signInAs("hana voss", "a first password")
	b.waitFor(`document.querySelector("#ui_who-name").textContent === "Hana Voss"`)

	// Both workshops on one board, and what comes in the other one comes by itself.
	ovens.begin(t, "one")
	b.comes(`document.body.innerText.includes("Bench one")`)
	b.tap("#ui_all-open")
	b.comes(`document.body.innerText.includes("Bench one") && document.body.innerText.includes("Mixers")`)
	mixers.begin(t, "two")
	b.comes(`document.body.innerText.includes("Bench two") && document.body.innerText.includes("Learner two")`)
	b.wantFits("all workshops")
	if name := eval[string](b, `[...document.querySelectorAll("section h2")].map(h => h.textContent).join(", ")`); name != "Waiting for a signature, Mixers, Ovens" {
		t.Errorf("the parts are %s", name)
	}
	server.Stop(true)
	b.comes(`document.body.innerText.includes("out of reach since") && document.body.innerText.includes("Bench two")`)
	b.wantFits("all workshops, away")
	b.visit(address + "board/")
	b.comes(`document.querySelector("#ui_reach").textContent.includes("out of reach since") && document.body.innerText.includes("Bench one")`)
	assert.NilError(t, server.Start())
	b.comes(`document.querySelector("#ui_reach").textContent === "Up to date"`)
	var files []string
	for i, at := range []string{"board/", "board/all/", "board/accounts/"} {
		file := filepath.Join(t.TempDir(), fmt.Sprintf("page-%d.html", i))
		assert.NilError(t, os.WriteFile(file, ovens.trainer(at, nil), 0o666))
		files = append(files, file)
	}
	for _, message := range append(nu(t, files), htmlValidate(t, files)...) {
		t.Error(message)
	}
	b.wantSound()
}

// signInAs signs in on the board by an account.
func (b *tab) signInAs(who, password string) {
	b.t.Helper()
	b.fillIn("#ui_pin-who", who)
	b.fillIn("#ui_pin", password+kb.Enter)
	b.comes(`!document.querySelector("#ui_board").hidden && document.querySelector("#ui_pin-form").hidden`)
}

// fillIn types into a field, in the place of what stands there.
func (b *tab) fillIn(field, text string) {
	b.t.Helper()
	b.tap(field)
	b.waitFor(fmt.Sprintf(`document.activeElement === document.querySelector(%[1]q) && (document.querySelector(%[1]q).value = "", true)`, field))
	b.do(chromedp.KeyEvent(text))
}

// wantFits has the page that is open looked at in both sizes of a tablet and on a desk.
func (b *tab) wantFits(where string) {
	b.t.Helper()
	for _, width := range []int{768, 1280} {
		b.resize(width)
		if wide := eval[int](b, `document.documentElement.scrollWidth`); wide > width {
			b.t.Errorf("%s is %d wide in a window of %d: %s", where, wide, width, eval[string](b, widest))
		}
	}
	b.resize(768)
	b.wantLargeTargets(where)
	b.wantHostAccessible(where)
}
