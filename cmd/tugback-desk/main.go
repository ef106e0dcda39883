// Command tugback-desk is the student's bench: a window on a computer, and, built for js/wasm, the
// browser's page. Both are the same program; only where it speaks and where comfort is kept differ.
package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"time"

	"tugback/internal/bench"
	"tugback/internal/store"
	"tugback/internal/ui"
	"tugback/scenarios"
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "tugback-desk:", err)
		os.Exit(1)
	}
}

// run opens practice, takes up the run under way and draws the bench until it is closed.
func run() error {
	ctx := context.Background()
	path, err := practicePath()
	if err != nil {
		return err
	}
	practice, err := store.Open(ctx, path)
	if err != nil {
		return err
	}
	if err := practice.Hold(ctx); err != nil {
		return err
	}
	elsewhere := make(chan struct{}, 1)
	keeper := store.NewKeeper(practice, func(err error) {
		fmt.Fprintln(os.Stderr, "tugback-desk:", err)
		if errors.Is(err, store.ErrElsewhere) {
			select {
			case elsewhere <- struct{}{}:
			default: // it is told already
			}
		}
	})
	defer practice.Close() //nolint:errcheck // all that was given is kept when the keeper is closed
	defer keeper.Close()
	opening := bench.Opening{Cases: scenarios.Files, Keeper: keeper}
	if opening.Current, err = practice.Current(ctx); err != nil {
		return err
	}
	opening.Quiz = bench.QuizOpening{Now: time.Now, Save: keeper.SaveQuiz}
	if opening.Quiz.Practice, err = practice.Quiz(ctx); err != nil {
		return err
	}
	entries, err := practice.List(ctx)
	if err != nil {
		return err
	}
	for _, e := range entries {
		opening.Kept = append(opening.Kept, bench.Kept{ID: e.ID, Scenario: e.Scenario, Total: e.Total, Available: e.Available})
	}
	opening.Record = func(id int64) <-chan []byte {
		comes := make(chan []byte, 1)
		go func() {
			data, err := practice.Record(ctx, id)
			if err != nil {
				fmt.Fprintln(os.Stderr, "tugback-desk:", err)
			}
			comes <- data
		}()
		return comes
	}
	session, err := bench.New(opening)
	if err != nil {
		return err
	}
	if err := setComfort(ctx, session, practice); err != nil {
		return err
	}
	return ui.Run("tugback", ui.Options{Session: session, Announce: announce, Elsewhere: elsewhere, Comfort: func(s bench.Settings) {
		if data, err := json.Marshal(s); err == nil {
			keeper.SaveComfort(data)
		}
	}})
}

// setComfort takes over the settings of comfort of the last time; what cannot be understood is left.
func setComfort(ctx context.Context, session *bench.Session, practice *store.Store) error {
	data, err := practice.Comfort(ctx)
	var comfort bench.Settings
	if err == nil && json.Unmarshal(data, &comfort) == nil {
		session.SetComfort(comfort)
	}
	return err
}
