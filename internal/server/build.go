package server

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
)

const (
	modulePath = "tugback"
	program    = "./cmd/tugback-desk" // the same program as the desktop window
	kept       = 4                    // pages of earlier sources that stay in the cache
)

// Advice on where a page comes from, for when none is to be had.
const (
	noToolchain = "the browser's page is not inside this program, and there is no Go toolchain (the command go) to build it; " +
		"install Go 1.26 or later, or use a released program, which has the page inside"
	noSources = "the browser's page is not inside this program, and its sources are not here to build it; " +
		"start it in the folder of the sources, or use a released program, which has the page inside"
)

// LoadPage returns the page inside this program, or else the one built from the sources by the Go
// toolchain on this computer and kept in the user's cache until the sources change. What it does and how
// far it is goes to tell, for a person to read. Checked by TestBuild and TestLoadPageWithoutGo.
func LoadPage(ctx context.Context, tell io.Writer) (*Page, error) {
	page, err := embedded()
	if page != nil || err != nil {
		return page, err
	}
	if _, err := exec.LookPath("go"); err != nil {
		return nil, errors.New(noToolchain)
	}
	root, err := findSources(ctx)
	if err != nil {
		return nil, err
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		return nil, fmt.Errorf("find a place for the built page: %w", err)
	}
	b := builder{root: root, program: program, cache: filepath.Join(cache, "tugback"), tell: tell}
	return b.page(ctx)
}

// findSources returns the folder of this program's sources: the module of the working directory, or
// where this program was compiled.
func findSources(ctx context.Context) (string, error) {
	out, err := exec.CommandContext(ctx, "go", "list", "-m", "-f", "{{.Path}} {{.Dir}}").Output()
	if path, folder, _ := strings.Cut(strings.TrimSpace(string(out)), " "); err == nil && path == modulePath {
		return folder, nil
	}
	_, file, _, _ := runtime.Caller(0)
	root := filepath.Dir(filepath.Dir(filepath.Dir(file)))
	text, err := os.ReadFile(filepath.Join(root, "go.mod"))
	if err != nil || !filepath.IsAbs(root) || !bytes.HasPrefix(text, []byte("module "+modulePath+"\n")) {
		return "", errors.New(noSources)
	}
	return root, nil
}

// builder builds the page of a program.
type builder struct {
	root    string // of the sources
	program string // package to build
	cache   string // folder that keeps built pages
	tell    io.Writer
}

// plan is what a build will do.
type plan struct {
	digest   string          // of everything that goes into the page
	packages map[string]bool // to be compiled, by import path
	starter  string          // path of wasm_exec.js
}

// page returns the page from the cache, or builds it and puts it there.
func (b builder) page(ctx context.Context) (*Page, error) {
	plan, err := b.plan(ctx)
	if err != nil {
		return nil, err
	}
	folder := filepath.Join(b.cache, "page-"+plan.digest)
	if page, err := read(folder); err == nil {
		return page, nil
	}
	packed, starter, err := b.build(ctx, plan)
	if err != nil {
		return nil, err
	}
	if err := write(folder, packed, starter); err != nil {
		fmt.Fprintf(b.tell, "the page could not be kept for the next time: %v\n", err)
	}
	forget(b.cache)
	return NewPage(packed, starter)
}

// plan finds what the page is made of, and the digest of all of it: sources, embedded files, versions
// of modules and of Go.
func (b builder) plan(ctx context.Context) (plan, error) {
	env, err := b.run(ctx, "env", "GOVERSION", "GOROOT")
	if err != nil {
		return plan{}, err
	}
	version, goroot, _ := strings.Cut(strings.TrimSpace(string(env)), "\n")
	list, err := b.run(ctx, "list", "-deps", "-json=ImportPath,Dir,Standard,Module,GoFiles,EmbedFiles", b.program)
	if err != nil {
		return plan{}, err
	}
	made := plan{packages: map[string]bool{}, starter: filepath.Join(strings.TrimSpace(goroot), "lib", "wasm", "wasm_exec.js")}
	files := []string{filepath.Join(b.root, "go.mod"), filepath.Join(b.root, "go.sum")}
	for decoder := json.NewDecoder(bytes.NewReader(list)); ; {
		var p struct {
			ImportPath, Dir     string
			Module              *struct{ Main bool }
			GoFiles, EmbedFiles []string
		}
		if err := decoder.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return plan{}, fmt.Errorf("list what the page is made of: %w", err)
		}
		made.packages[p.ImportPath] = true
		if p.Module != nil && p.Module.Main {
			for _, name := range slices.Concat(p.GoFiles, p.EmbedFiles) {
				files = append(files, filepath.Join(p.Dir, name))
			}
		}
	}
	made.digest, err = digest(version, b.root, files)
	return made, err
}

// digest returns 32 hexadecimal digits that change when a file, its place or the Go version does.
func digest(version, root string, files []string) (string, error) {
	slices.Sort(files)
	sum := sha256.New()
	fmt.Fprintf(sum, "%s\n%s\n", version, strings.Join(buildArguments("", ""), " "))
	for _, name := range files {
		if err := addFile(sum, root, name); err != nil {
			return "", fmt.Errorf("read the sources of the page: %w", err)
		}
	}
	return hex.EncodeToString(sum.Sum(nil)[:16]), nil
}

func addFile(sum hash.Hash, root, name string) error {
	content, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	short, err := filepath.Rel(root, name)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(sum, "%s %d\n%s\n", filepath.ToSlash(short), len(content), content)
	return err
}

// buildArguments are those of the go command; without symbols and paths the page is smaller and the same
// on every computer.
func buildArguments(to, program string) []string {
	return []string{"build", "-v", "-trimpath", "-ldflags=-s -w", "-o", to, program}
}

// build compiles the page's program and packs it.
func (b builder) build(ctx context.Context, plan plan) (packed Packed, starter []byte, err error) {
	if starter, err = os.ReadFile(plan.starter); err != nil {
		return Packed{}, nil, fmt.Errorf("the Go toolchain lacks its script for the browser: %w", err)
	}
	folder, err := os.MkdirTemp("", "tugback-page")
	if err != nil {
		return Packed{}, nil, err
	}
	defer os.RemoveAll(folder) //nolint:errcheck // a folder left in the system's temporary space harms nobody
	to := filepath.Join(folder, "tugback.wasm")
	progress := newProgress(b.tell, plan.packages)
	cmd := b.command(ctx, buildArguments(to, b.program)...)
	cmd.Stdout, cmd.Stderr = progress, progress
	if err := cmd.Run(); err != nil {
		progress.end(false)
		return Packed{}, nil, fmt.Errorf("build the browser's page: %w\n%s", err, progress.faults())
	}
	progress.stage("packing the page")
	code, err := os.ReadFile(to)
	if err == nil {
		packed, err = Pack(code)
	}
	progress.end(err == nil)
	return packed, starter, err
}

// command prepares the go command for the page's target.
func (b builder) command(ctx context.Context, args ...string) *exec.Cmd {
	cmd := exec.CommandContext(ctx, "go", args...)
	cmd.Dir = b.root
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	return cmd
}

// run runs the go command for the page's target and returns what it prints.
func (b builder) run(ctx context.Context, args ...string) ([]byte, error) {
	cmd := b.command(ctx, args...)
	var faults bytes.Buffer
	cmd.Stderr = &faults
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("go %s: %w\n%s", args[0], err, strings.TrimSpace(faults.String()))
	}
	return out, nil
}
