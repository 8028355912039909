// Command release makes what is handed out, into the folder dist:
//
//	go run ./.ci/release [-version v1.2.3] [-key FILE]
//
// For each system it packs the program with its licences and documents; for Debian it makes packages. Beside these lie
// checksums, the list of what is built in (SBOM, where cyclonedx-gomod is there) and, with -key, a signature of the
// checksums. The same commit gives the same bytes.
package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"crypto/md5"
	"crypto/sha256"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// target is a system to release for.
type target struct{ system, machine string }

var targets = []target{{"windows", "amd64"}, {"darwin", "amd64"}, {"darwin", "arm64"}, {"linux", "amd64"}, {"linux", "arm64"}}

// member is a file of a package.
type member struct {
	name    string
	mode    int64
	content []byte
}

// release is what all packages of one release share.
type release struct {
	version string
	made    time.Time // that of the commit
	out     string
	sums    []string
}

// versions are what a tag of a release looks like.
var versions = regexp.MustCompile(`^v[0-9]+\.[0-9]+\.[0-9]+(-[0-9A-Za-z.]+)?$`)

func main() {
	version := flag.String("version", "", "the version, such as v1.2.3; the tag of the commit when not given")
	key := flag.String("key", "", "key that signs the checksums, as made by ssh-keygen")
	out := flag.String("out", "dist", "folder for what is made; it must not be there, or be empty")
	only := flag.String("only", "", "one system, such as linux/amd64")
	flag.Parse()
	if err := makeAll(*version, *key, *out, *only); err != nil {
		fmt.Fprintln(os.Stderr, "release:", err)
		os.Exit(1)
	}
}

// makeAll makes the release.
func makeAll(version, key, out, only string) error {
	r, err := begin(version, out)
	if err != nil {
		return err
	}
	shared, err := documents()
	if err != nil {
		return err
	}
	made := 0
	for _, t := range targets {
		if only != "" && only != t.system+"/"+t.machine {
			continue
		}
		made++
		if err := r.forSystem(t, shared); err != nil {
			return fmt.Errorf("%s/%s: %w", t.system, t.machine, err)
		}
	}
	if made == 0 {
		return fmt.Errorf("there is no system %q", only)
	}
	slices.Sort(r.sums)
	sums := filepath.Join(r.out, "SHA256SUMS")
	if err := os.WriteFile(sums, []byte(strings.Join(r.sums, "")), 0o666); err != nil {
		return err
	}
	if key == "" {
		fmt.Fprintln(os.Stderr, "release: not signed; give a key with -key")
		return nil
	}
	return run(nil, "ssh-keygen", "-Y", "sign", "-n", "file", "-f", key, sums)
}

// begin finds version and time, and makes the folder.
func begin(version, out string) (*release, error) {
	if version == "" {
		tag, err := exec.Command("git", "describe", "--tags", "--exact-match").Output()
		if err != nil {
			return nil, errors.New("the commit has no tag: make one, such as v1.2.3, or give -version")
		}
		version = strings.TrimSpace(string(tag))
	}
	if !versions.MatchString(version) {
		return nil, fmt.Errorf("%q is not a version such as v1.2.3", version)
	}
	if changed, err := exec.Command("git", "status", "--porcelain", "--untracked-files=no").Output(); err != nil || len(changed) > 0 {
		return nil, errors.New("files differ from the commit: commit them, so that the release can be made again")
	}
	seconds, err := exec.Command("git", "log", "-1", "--format=%ct").Output()
	if err != nil {
		return nil, fmt.Errorf("asking for the commit's time: %w", err)
	}
	at, err := strconv.ParseInt(strings.TrimSpace(string(seconds)), 10, 64)
	if err != nil {
		return nil, err
	}
	if there, err := os.ReadDir(out); err == nil && len(there) > 0 {
		return nil, fmt.Errorf("the folder %s is not empty: take it away", out)
	}
	return &release{version: version, made: time.Unix(at, 0).UTC(), out: out}, os.MkdirAll(out, 0o777)
}

// documents are the files that go into every package.
func documents() ([]member, error) {
	var out []member
	for _, f := range []struct{ from, to string }{
		{"README.md", "README.md"}, {"CHANGELOG.md", "CHANGELOG.md"}, {"SECURITY.md", "SECURITY.md"}, {"LICENSE", "LICENSE"}, {"cmd/matchmark/licences.txt", "LICENCES.txt"},
	} {
		content, err := os.ReadFile(f.from)
		if err != nil {
			return nil, err
		}
		out = append(out, member{f.to, 0o644, content})
	}
	return out, nil
}

// forSystem builds and packs for one system.
func (r *release) forSystem(t target, shared []member) error {
	program := "matchmark"
	if t.system == "windows" {
		program += ".exe"
	}
	dir, err := os.MkdirTemp("", "release-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	built := filepath.Join(dir, program)
	env := []string{"GOOS=" + t.system, "GOARCH=" + t.machine, "CGO_ENABLED=0"}
	if err := run(env, "go", "build", "-trimpath", "-buildvcs=false", "-ldflags", "-s -w -buildid= -X main.released="+r.version, "-o", built, "./cmd/matchmark"); err != nil {
		return err
	}
	content, err := os.ReadFile(built)
	if err != nil {
		return err
	}
	name := strings.Join([]string{"matchmark", strings.TrimPrefix(r.version, "v"), t.system, t.machine}, "_")
	files := append([]member{{program, 0o755, content}}, shared...)
	switch t.system {
	case "windows":
		err = r.write(name+".zip", zipped(name, files, r.made))
	case "linux":
		err = errors.Join(r.write(name+".tar.gz", tarred(name+"/", files, r.made)), r.write(name+".deb", r.debian(t, files)))
	default:
		err = r.write(name+".tar.gz", tarred(name+"/", files, r.made))
	}
	if err != nil {
		return err
	}
	return r.components(name, built)
}

// write writes a file and notes its sum.
func (r *release) write(name string, content []byte) error {
	r.sums = append(r.sums, fmt.Sprintf("%x  %s\n", sha256.Sum256(content), name))
	return os.WriteFile(filepath.Join(r.out, name), content, 0o666)
}

// components writes the list of what is built in; without the tool it says how to get it.
func (r *release) components(name, program string) error {
	tool, err := exec.LookPath("cyclonedx-gomod")
	if err != nil {
		fmt.Fprintln(os.Stderr, "release: no SBOM: go install github.com/CycloneDX/cyclonedx-gomod/cmd/cyclonedx-gomod@v1.10.0")
		return nil
	}
	list, err := exec.Command(tool, "bin", "-json", "-noserial", "-notimestamp", program).Output()
	if err != nil {
		return fmt.Errorf("listing the components: %w", err)
	}
	return r.write(name+".cdx.json", list)
}

func run(env []string, name string, args ...string) error {
	command := exec.Command(name, args...)
	command.Env = append(os.Environ(), env...)
	command.Stdout, command.Stderr = os.Stdout, os.Stderr
	return command.Run()
}

// zipped packs files into a folder of a zip.
func zipped(folder string, files []member, at time.Time) []byte {
	var b bytes.Buffer
	out := zip.NewWriter(&b)
	for _, f := range files {
		header := &zip.FileHeader{Name: folder + "/" + f.name, Method: zip.Deflate, Modified: at}
		header.SetMode(os.FileMode(f.mode))
		w, err := out.CreateHeader(header)
		must(err)
		_, err = w.Write(f.content)
		must(err)
	}
	must(out.Close())
	return b.Bytes()
}

// tarred packs files below a folder, with the folders that lead to them.
func tarred(folder string, files []member, at time.Time) []byte {
	var b bytes.Buffer
	packed := gzip.NewWriter(&b)
	out := tar.NewWriter(packed)
	there := map[string]bool{}
	for _, f := range files {
		name := folder + f.name
		var above []string
		for dir := path.Dir(name); dir != "." && !there[dir]; dir = path.Dir(dir) {
			there[dir] = true
			above = append([]string{dir}, above...)
		}
		for _, dir := range above {
			must(out.WriteHeader(&tar.Header{Typeflag: tar.TypeDir, Name: "./" + strings.TrimPrefix(dir, "./") + "/", Mode: 0o755, ModTime: at, Uname: "root", Gname: "root"}))
		}
		must(out.WriteHeader(&tar.Header{Typeflag: tar.TypeReg, Name: name, Mode: f.mode, Size: int64(len(f.content)), ModTime: at, Uname: "root", Gname: "root"}))
		_, err := out.Write(f.content)
		must(err)
	}
	must(out.Close())
	must(packed.Close())
	return b.Bytes()
}

// debian makes a package for Debian.
// Source: deb(5), "Archive format"; Debian Policy 4.6, 5.3 and 12.5 (copyright file).
func (r *release) debian(t target, files []member) []byte {
	var inside []member
	size := 0
	for _, f := range files {
		at := "./usr/share/doc/matchmark/" + f.name
		switch f.name {
		case "matchmark":
			at = "./usr/bin/matchmark"
		case "LICENCES.txt":
			at = "./usr/share/doc/matchmark/copyright"
		}
		size += len(f.content)
		inside = append(inside, member{at, f.mode, f.content})
	}
	var sums bytes.Buffer
	for _, f := range inside {
		fmt.Fprintf(&sums, "%x  %s\n", md5.Sum(f.content), strings.TrimPrefix(f.name, "./"))
	}
	control := fmt.Sprintf(`Package: matchmark
Version: %s
Architecture: %s
Maintainer: the makers of matchmark <root@localhost>
Installed-Size: %d
Section: education
Priority: optional
Description: workshop procedures, checked and made into a training site
 Checks removal procedures that are written as text files, and makes step pages
 for tablets, checklists and labels to print, and quizzes of them.
`, strings.ReplaceAll(strings.TrimPrefix(r.version, "v"), "-", "~"), t.machine, (size+1023)/1024)
	var b bytes.Buffer
	b.WriteString("!<arch>\n")
	for _, part := range []member{
		{"debian-binary", 0o644, []byte("2.0\n")},
		{"control.tar.gz", 0o644, tarred("", []member{{"./control", 0o644, []byte(control)}, {"./md5sums", 0o644, sums.Bytes()}}, r.made)},
		{"data.tar.gz", 0o644, tarred("", inside, r.made)},
	} {
		fmt.Fprintf(&b, "%-16s%-12d%-6d%-6d%-8o%-10d`\n", part.name, r.made.Unix(), 0, 0, 0o100000|part.mode, len(part.content))
		b.Write(part.content)
		if len(part.content)%2 == 1 {
			b.WriteByte('\n')
		}
	}
	return b.Bytes()
}

// must panics on an error that writing to memory cannot have.
func must(err error) {
	if err != nil {
		panic(err)
	}
}
