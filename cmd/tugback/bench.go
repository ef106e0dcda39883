package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"os/signal"
	"runtime"
	"syscall"

	"github.com/cli/browser"

	"tugback/internal/cli"
	"tugback/internal/server"
	"tugback/internal/store"
)

// bench serves the bench until it is interrupted.
func bench(o cli.BenchOptions) (err error) {
	ctx, stop := untilInterrupted()
	defer stop()
	listener, err := listen(o.Addr)
	if err != nil {
		return err
	}
	defer listener.Close() //nolint:errcheck // when Serve has not closed it, an error is told already
	practice, path, err := openPractice(ctx, o.Data)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, practice.Close()) }()
	page, err := server.LoadPage(ctx, os.Stderr)
	if ctx.Err() != nil {
		return nil
	}
	if err != nil {
		return err
	}
	fmt.Printf("The bench is at %s\nPractice is kept in %s\nCtrl-C ends it; nothing is lost.\n", server.URL(listener), path)
	if !o.NoBrowser {
		go show(listener)
	}
	return server.Serve(ctx, listener, page, practice)
}

// listen opens an address of this computer; one of another is a fault in the command line.
func listen(addr string) (net.Listener, error) {
	listener, err := server.Listen(addr)
	if errors.Is(err, server.ErrAddress) {
		return nil, cli.Usage(err)
	}
	return listener, err
}

// untilInterrupted returns a context that ends when the person interrupts the program; the second time,
// the program ends at once.
func untilInterrupted() (context.Context, context.CancelFunc) {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop)
	return ctx, stop
}

// openPractice opens the practice kept in a file, "" the usual one.
func openPractice(ctx context.Context, path string) (*store.Store, string, error) {
	if path == "" {
		var err error
		if path, err = store.DefaultPath(); err != nil {
			return nil, "", err
		}
	}
	practice, err := store.Open(ctx, path)
	return practice, path, err
}

// show opens the page in the browser. Without a desktop that would be a browser in this terminal, so
// that the address has to do.
func show(l net.Listener) {
	desktop := os.Getenv("DISPLAY") != "" || os.Getenv("WAYLAND_DISPLAY") != "" || os.Getenv("WSL_DISTRO_NAME") != ""
	if runtime.GOOS == "linux" && !desktop {
		return
	}
	browser.Stdout, browser.Stderr = io.Discard, io.Discard
	if err := browser.OpenURL(server.URL(l)); err != nil {
		fmt.Fprintln(os.Stderr, "The browser could not be opened; open the address by hand.")
	}
}

// writePage writes the page of the bench as files into a folder.
func writePage(folder string) error {
	ctx, stop := untilInterrupted()
	defer stop()
	page, err := server.LoadPage(ctx, os.Stderr)
	if err != nil {
		return err
	}
	if err := page.Write(folder); err != nil {
		return err
	}
	size := page.Size()
	fmt.Printf("The page is in %s; its program has %.1f MB by brotli, %.1f MB by gzip, %.1f MB unpacked.\n",
		folder, float64(size.Brotli)/1e6, float64(size.Gzip)/1e6, float64(size.Plain)/1e6)
	return nil
}
