//go:build browser && engines

package browsertest

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
)

// chromium is the tab that the other tests work in.
type chromium struct{ *tab }

func startChromium(t *testing.T) engine { return chromium{openTab(t, newProfile(t))} }

func (c chromium) open(address string) { c.t.Helper(); c.visit(address) }

func (c chromium) resize(width, height int) {
	c.t.Helper()
	c.do(chromedp.EmulateViewport(int64(width), int64(height), chromedp.EmulateTouch))
}

func (c chromium) tap(at spot) { c.t.Helper(); c.do(chromedp.TapXY(at.X, at.Y)) }

func (c chromium) typed(text string) { c.t.Helper(); c.do(chromedp.KeyEvent(text)) }

func (c chromium) evaluate(expression string) string {
	c.t.Helper()
	return eval[string](c.tab, fmt.Sprintf(asText, expression))
}

func (c chromium) screenshot() []byte {
	c.t.Helper()
	shot, err := chromedp.Run(c.ctx, chromedp.CaptureScreenshot())
	if err != nil {
		c.t.Fatal(err)
	}
	return shot
}
