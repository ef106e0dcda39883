package main

import (
	"context"
	"errors"
	"fmt"
	"os"

	"tugback/internal/cli"
	"tugback/internal/store"
)

// practice opens what a treatment by lines is kept in: the same file as the bench's, so that it can be
// taken up there.
func practice(path string) (cli.Practice, error) {
	kept, _, err := openPractice(context.Background(), path)
	if err != nil {
		return cli.Practice{}, err
	}
	if err := kept.Hold(context.Background()); err != nil {
		return cli.Practice{}, errors.Join(err, kept.Close())
	}
	current, err := kept.Current(context.Background())
	if err != nil {
		return cli.Practice{}, errors.Join(err, kept.Close())
	}
	keeper := store.NewKeeper(kept, func(err error) {
		if err == nil {
			fmt.Fprintln(os.Stderr, "tugback: practice is kept again")
			return
		}
		fmt.Fprintln(os.Stderr, "tugback: practice is not kept:", err)
	})
	return cli.Practice{Keeper: keeper, Current: current, Close: func() error {
		keeper.Close()
		return kept.Close()
	}}, nil
}
