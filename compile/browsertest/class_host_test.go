//go:build browser

package browsertest

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/chromedp"
	"gotest.tools/v3/assert"
)

// class is a class host: the built command in a process of its own, which can be
// killed and started again at the same address with the same data.
type class struct {
	t       *testing.T
	bin     string
	data    string
	command *exec.Cmd
	who     string // signs in
	pin     string // or the password
	// database and workshop are empty for a class in its data folder.
	database, workshop string
	plain              *url.URL // http, with a slash at its end
	secure             *url.URL // https
}

// built is where the command is, which is built once for all tests.
var built = sync.OnceValues(func() (string, error) {
	bin := filepath.Join(own, "matchmark")
	if out, err := exec.Command("go", "build", "-o", bin, "matchmark/cmd/matchmark").CombinedOutput(); err != nil {
		return "", fmt.Errorf("building the command: %w\n%s", err, out)
	}
	return bin, nil
})

// own is a folder for what all tests share.
var own string

func TestMain(m *testing.M) {
	var err error
	if own, err = os.MkdirTemp("", "matchmark-browsertest"); err != nil {
		panic(err)
	}
	code := m.Run()
	os.RemoveAll(own)
	os.Exit(code)
}

// buildCommand returns where the command is.
func buildCommand(t *testing.T) string {
	t.Helper()
	bin, err := built()
	assert.NilError(t, err)
	return bin
}

// startClass starts a class on the demo.
func startClass(t *testing.T, bin string) *class {
	t.Helper()
	return startWorkshop(t, bin, "", "")
}

// startWorkshop starts a class on the demo, in a database unless that is empty.
func startWorkshop(t *testing.T, bin, database, workshop string) *class {
	t.Helper()
	c := &class{t: t, bin: bin, data: filepath.Join(t.TempDir(), "data"), who: "Kim Holt", database: database, workshop: workshop}
	t.Cleanup(c.kill)
	c.start()
	return c
}

// start starts the host, at its old address if it had one, and waits until it answers.
func (c *class) start() {
	c.t.Helper()
	plain, secure := "0", "0"
	if c.plain != nil {
		plain, secure = c.plain.Port(), c.secure.Port()
	}
	c.command = exec.Command(c.bin, "serve", "--data", c.data, "--http", plain, "--https", secure, "--name", "class.test")
	if c.database != "" {
		c.command.Args = append(c.command.Args, "--workshop", c.workshop)
		c.command.Env = append(os.Environ(), "MATCHMARK_DATABASE="+c.database)
	}
	out, err := c.command.StdoutPipe()
	if err != nil {
		c.t.Fatal(err)
	}
	var complaints bytes.Buffer
	c.command.Stderr = &complaints
	if err := c.command.Start(); err != nil {
		c.t.Fatal(err)
	}
	for lines := bufio.NewScanner(out); lines.Scan(); {
		line := strings.TrimSpace(lines.Text())
		if after, ok := strings.CutPrefix(line, "The trainer's PIN is "); ok {
			c.pin, _, _ = strings.Cut(after, ".")
		}
		if after, ok := strings.CutPrefix(line, "The first account is "); ok {
			c.who, after, _ = strings.Cut(after, " with the password ")
			c.pin, _, _ = strings.Cut(after, ".")
		}
		if at, err := url.Parse(line); err == nil && at.Path == "/" {
			switch at.Scheme {
			case "http":
				c.plain = at
			case "https":
				c.secure = at
			}
		}
		if strings.HasPrefix(line, "Press Ctrl-C") {
			go io.Copy(io.Discard, out)
			return
		}
	}
	c.t.Fatalf("the class did not start: %v\n%s", c.command.Wait(), complaints.String())
}

// kill ends the host as a power cut does.
func (c *class) kill() {
	if c.command == nil {
		return
	}
	c.command.Process.Kill()
	c.command.Wait() // says that it was killed
	c.command = nil
}

// named is the plain address by a name of the network, which is no secure context.
func (c *class) named() string { return "http://class.test:" + c.plain.Port() + "/" }

// byName lets a browser find that name.
var byName = chromedp.Flag("host-resolver-rules", "MAP class.test 127.0.0.1")

// trainer asks the host as the trainer's browser does, and reads the answer into a value; nil takes none.
func (c *class) trainer(path string, into any) []byte {
	c.t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		c.t.Fatal(err)
	}
	client := &http.Client{Jar: jar, Timeout: patience(c.t, forPage)}
	form, err := json.Marshal(map[string]string{"who": c.who, "pin": c.pin})
	if err != nil {
		c.t.Fatal(err)
	}
	entered, err := client.Post(c.plain.String()+"board/pin", "application/json", bytes.NewReader(form))
	if err != nil {
		c.t.Fatal(err)
	}
	entered.Body.Close()
	answer, err := client.Get(c.plain.String() + path)
	if err != nil {
		c.t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil || answer.StatusCode != http.StatusOK {
		c.t.Fatalf("%s: status %d, %v: %s", path, answer.StatusCode, err, body)
	}
	if into != nil {
		if err := json.Unmarshal(body, into); err != nil {
			c.t.Fatalf("%s: %v", path, err)
		}
	}
	return body
}

// page is what the host sends of a page, also when there is none.
func (c *class) page(path string) []byte {
	c.t.Helper()
	request, err := http.NewRequest("GET", c.plain.String()+path, nil)
	if err != nil {
		c.t.Fatal(err)
	}
	request.Header.Set("Accept", "text/html")
	answer, err := http.DefaultClient.Do(request)
	if err != nil {
		c.t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil {
		c.t.Fatal(err)
	}
	return body
}

// trusting makes a browser trust the host as a tablet does that has installed the
// authority: the test has checked the certificate against the authority that the page on trust hands out.
// A certificate that a browser only puts up with is no secure context; one whose key is listed here is.
func (c *class) trusting() chromedp.ExecAllocatorOption {
	c.t.Helper()
	answer, err := http.Get(c.plain.String() + "trust/matchmark-class.crt")
	if err != nil {
		c.t.Fatal(err)
	}
	defer answer.Body.Close()
	der, err := io.ReadAll(answer.Body)
	if err != nil {
		c.t.Fatal(err)
	}
	authority, err := x509.ParseCertificate(der)
	if err != nil {
		c.t.Fatal(err)
	}
	pool := x509.NewCertPool()
	pool.AddCert(authority)
	conn, err := tls.Dial("tcp", c.secure.Host, &tls.Config{RootCAs: pool, MinVersion: tls.VersionTLS12})
	if err != nil {
		c.t.Fatal(err)
	}
	defer conn.Close()
	sum := sha256.Sum256(conn.ConnectionState().PeerCertificates[0].RawSubjectPublicKeyInfo)
	return chromedp.Flag("ignore-certificate-errors-spki-list", base64.StdEncoding.EncodeToString(sum[:]))
}
