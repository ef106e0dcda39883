// Command tugback-desk is the student's bench: a window on a computer, and, built for js/wasm, the
// browser's page. Both are the same program; only where it speaks and where comfort is kept differ.
package main

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"runtime/debug"
	"time"

	"tugback/internal/bench"
	"tugback/internal/store"
	"tugback/internal/ui"
	"tugback/scenarios"
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "tugback-desk:", err)
		showFault(err)
		os.Exit(1)
	}
}

// collectAt, per cent, is by how much the memory in use may grow before it is looked through: it is some tens
// of megabytes, and in a page there is but one thread, which draws as well.
const collectAt = 300

// run opens practice, takes up the run under way and draws the bench until it is closed.
func run() error {
	ctx := context.Background()
	debug.SetGCPercent(collectAt)
	place, err := practicePath()
	if err != nil {
		return err
	}
	practice, err := store.Open(ctx, place)
	if err != nil {
		return err
	}
	if err := practice.Hold(ctx); err != nil {
		return err
	}
	outside := make(news, 64)
	keeper := store.NewKeeper(practice, func(err error) { outside.tell(err, unkept(err)) })
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
	table := openDesk(place).Told(func(err error) { outside.tell(err, unsent(err)) })
	files := make(chan ui.File, 8)
	opening.Exam, opening.Pick = table, picker(files)
	session, err := bench.New(opening)
	if err != nil {
		return err
	}
	if err := setComfort(ctx, session, practice); err != nil {
		return err
	}
	takeGiven(session, table)
	go takeComments(table, outside)
	return ui.Run("tugback", ui.Options{Session: session, Announce: announce, InWords: inWords, News: outside, Files: files, Comfort: func(s bench.Settings) {
		if data, err := json.Marshal(s); err == nil {
			keeper.SaveComfort(data)
		}
	}})
}
