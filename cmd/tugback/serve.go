package main

import (
	"context"
	"crypto/rand"
	"crypto/tls"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"os"
	"path/filepath"
	"strings"

	"tugback/internal/class"
	"tugback/internal/cli"
	"tugback/internal/server"
	"tugback/scenarios"
)

// serveClass serves a class until it is interrupted, or looks after what is kept of it.
func serveClass(o cli.ServeOptions) (err error) {
	ctx, stop := untilInterrupted()
	defer stop()
	if o.Cert != "" {
		if _, err := tls.LoadX509KeyPair(o.Cert, o.Key); err != nil {
			return fmt.Errorf("certificate %s with key %s: %w", o.Cert, o.Key, err)
		}
	}
	proxy, err := proxyOf(o.Proxy)
	if err != nil {
		return err
	}
	c, err := class.Open(ctx, o.Class, class.Options{Judge: class.Records{Files: scenarios.Files}, Proxy: proxy})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, c.Close()) }()
	switch {
	case o.AddInstructor != "":
		return addInstructor(ctx, c, o.AddInstructor)
	case o.AddPaper != "":
		return addPaper(ctx, c, o)
	case o.Take != "":
		return take(ctx, c, o)
	case o.ExportPerson != "":
		return exportPerson(ctx, c, o.ExportPerson)
	case o.DeletePerson != "":
		return deletePerson(ctx, c, o.DeletePerson)
	}
	return serveUntil(ctx, c, o)
}

// proxyOf reads the address of a proxy, or a range of addresses; the zero prefix for "".
func proxyOf(text string) (netip.Prefix, error) {
	if text == "" {
		return netip.Prefix{}, nil
	}
	if one, err := netip.ParseAddr(text); err == nil {
		return netip.PrefixFrom(one, one.BitLen()), nil
	}
	several, err := netip.ParsePrefix(text)
	if err != nil {
		return several, fmt.Errorf("--proxy %q: neither an address as 10.0.0.5 nor a range as 10.0.0.0/24", text)
	}
	return several, nil
}

// serveUntil serves a class until ctx ends.
func serveUntil(ctx context.Context, c *class.Class, o cli.ServeOptions) error {
	listener, err := net.Listen("tcp", o.Addr)
	if err != nil {
		return fmt.Errorf("address %q: %w", o.Addr, err)
	}
	defer listener.Close() //nolint:errcheck // when Serve has not closed it, an error is told already
	var page http.Handler
	if !o.NoPage {
		loaded, err := server.LoadPage(ctx, os.Stderr)
		if ctx.Err() != nil {
			return nil
		}
		if err != nil {
			return err
		}
		page = loaded.Handler()
	}
	n, err := c.Instructors(ctx)
	if err == nil && n == 0 {
		err = addInstructor(ctx, c, o.FirstInstructor)
	}
	if err != nil {
		return err
	}
	scheme := "https"
	if o.Cert == "" {
		scheme = "http"
		if host, _, err := net.SplitHostPort(listener.Addr().String()); err == nil && !net.ParseIP(host).IsLoopback() {
			fmt.Fprintln(os.Stderr, "tugback: without --tls-cert, tokens and passwords can be read on the way")
		}
	}
	fmt.Printf("The class in %s is at %s://%s/, for instructors at /instructor/\nCtrl-C ends it; nothing is lost.\n",
		class.Shown(o.Class), scheme, listener.Addr())
	return c.Serve(ctx, listener, page, slog.New(slog.NewTextHandler(os.Stderr, nil)), o.Cert, o.Key)
}

// addInstructor gives an instructor a password and shows it, once.
func addInstructor(ctx context.Context, c *class.Class, name string) error {
	password := rand.Text()
	if err := c.AddInstructor(ctx, name, password); err != nil {
		return err
	}
	fmt.Printf("Instructor %s has the password %s\nIt is shown this once only.\n", name, password)
	return nil
}

// paperLimit is more than a paper with its packets has, in bytes.
const paperLimit = 256 << 20

// addPaper adds the paper of a folder that paper seal has written, or of a file.
func addPaper(ctx context.Context, c *class.Class, o cli.ServeOptions) error {
	names := []string{o.AddPaper}
	if info, err := os.Stat(o.AddPaper); err == nil && info.IsDir() {
		names = []string{filepath.Join(o.AddPaper, "class.json"), filepath.Join(o.AddPaper, "paper.json")}
		if _, err := os.Stat(names[0]); errors.Is(err, fs.ErrNotExist) {
			names = []string{filepath.Join(o.AddPaper, "instructor", "class.json"), filepath.Join(o.AddPaper, "instructor", "paper.json")}
		}
	}
	var files [][]byte
	for _, name := range names {
		text, err := readFile(name)
		if err != nil {
			return err
		}
		files = append(files, text)
	}
	u, err := class.ReadUpload(files...)
	if err != nil {
		return fmt.Errorf("%s: %w", o.AddPaper, err)
	}
	u.Stepped = u.Stepped || o.Stepped
	if err := c.AddPaper(ctx, "command line", u); err != nil {
		return fmt.Errorf("%s: %w", o.AddPaper, err)
	}
	how := "Each gets a packet by their token."
	if u.Stepped {
		how = "It is sat step by step on the server."
	}
	fmt.Printf("The paper %s is added for %d candidates. %s\n", u.Paper, len(u.Candidates), how)
	return nil
}

// readFile reads a file of a paper.
func readFile(name string) (text []byte, err error) {
	file, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	if text, err = io.ReadAll(io.LimitReader(file, paperLimit+1)); err == nil && len(text) > paperLimit {
		err = fmt.Errorf("%s: more than %d MB; no paper is that large", name, paperLimit>>20)
	}
	return text, err
}

// take writes everything of a paper to a new folder.
func take(ctx context.Context, c *class.Class, o cli.ServeOptions) (err error) {
	if err := os.MkdirAll(o.Out, 0o700); err != nil {
		return err
	}
	if entries, err := os.ReadDir(o.Out); err != nil || len(entries) > 0 {
		return errors.Join(fmt.Errorf("--out %s: is not empty; name a new folder", o.Out), err)
	}
	folder, err := os.OpenRoot(o.Out)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, folder.Close()) }()
	stand, refused, unjudged := 0, 0, 0
	err = c.Take(ctx, "command line", o.Take, func(name string, data []byte) error {
		dir := filepath.Dir(filepath.FromSlash(name))
		switch dir {
		case ".":
			stand++
		case "refused":
			refused++
		case "unjudged":
			unjudged++
		}
		if err := folder.Mkdir(dir, 0o700); dir != "." && err != nil && !errors.Is(err, fs.ErrExist) {
			return err
		}
		return folder.WriteFile(filepath.FromSlash(name), data, 0o600)
	})
	if err != nil {
		return errors.Join(fmt.Errorf("paper %.80q: %w", o.Take, err), removeEmpty(o.Out))
	}
	fmt.Printf("Hand-ins of %s: %d stand and are in %s, %d do not and are under refused.\n", o.Take, stand, o.Out, refused)
	if unjudged > 0 {
		fmt.Printf("Not verified yet, under unjudged: %d. Start the server, which verifies them, and take them again.\n", unjudged)
	}
	if stand > 0 {
		fmt.Printf("Next: tugback gradebook %s --out NEW\n", o.Out)
	}
	return nil
}

// removeEmpty removes a folder in which nothing was written.
func removeEmpty(folder string) error {
	if entries, err := os.ReadDir(folder); err != nil || len(entries) > 0 {
		return err
	}
	return os.Remove(folder)
}

// exportPerson prints all that is kept of a candidate.
func exportPerson(ctx context.Context, c *class.Class, id string) error {
	person, err := c.ExportPerson(ctx, id)
	if err != nil {
		return err
	}
	out := json.NewEncoder(os.Stdout)
	out.SetIndent("", "  ")
	return out.Encode(person)
}

// deletePerson deletes all that is kept of a candidate, and says what is not reached.
func deletePerson(ctx context.Context, c *class.Class, id string) error {
	sealed, err := c.DeletePerson(ctx, "command line", id)
	if err != nil {
		return err
	}
	fmt.Printf("All that was kept of %s is deleted: packet, log, hand-ins, receipts, practice. Not reached are backups and files taken before.\n", id)
	if len(sealed) > 0 {
		fmt.Printf("The sealed paper %s keeps the pseudonym %s with the seeds of its teeth, its questions and its extra time: it is signed as a whole, and the marks of the others rest on it. It says no name; strike %s out of the roster too, and remove the paper when its time is over.\n",
			strings.Join(sealed, ", "), id, id)
	}
	return nil
}
