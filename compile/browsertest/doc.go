// Package browsertest tests the compiled demo library as people meet it: in
// Chromium, on paper, through the published validators. Its tests are built
// with the tag "browser" only; "make test" sets it, leaves out by -short what takes long, and finds or installs the
// browser, pdftotext, Java and the validators that they need. With the tag
// "engines" besides, as "make test-all" sets it, Firefox and WebKit open pages too.
package browsertest
