package main

import (
	"fmt"

	"tugback/internal/author"
	"tugback/internal/cli"
	"tugback/internal/server"
	"tugback/scenarios"
)

// preview serves the page in which a case is made and changed until it is interrupted.
func preview(o cli.PreviewOptions) error {
	ctx, stop := untilInterrupted()
	defer stop()
	site, err := author.Open(author.Options{File: o.File, New: o.New, Plan: o.Plan, Shipped: scenarios.Files})
	if err != nil {
		return err
	}
	listener, err := listen(o.Addr)
	if err != nil {
		return err
	}
	defer listener.Close() //nolint:errcheck // when Serve has not closed it, an error is told already
	fmt.Printf("The case is at %s\nNothing is written until you save in the page. Ctrl-C ends it.\n", server.URL(listener))
	if !o.NoBrowser {
		go show(listener)
	}
	return server.ServeOther(ctx, listener, site.Handler(ctx))
}
