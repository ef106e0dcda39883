package store

import (
	"context"
	"errors"
	"sync"
	"time"

	"tugback/internal/attempt"
)

// retryAfter is how long a keeper waits before it tries again what could not be kept, if nothing is given
// to it meanwhile.
const retryAfter = 3 * time.Second

// Keeper keeps practice for a caller that must not wait: its methods return at once, and one after the
// other what they were given is kept. Of the run under way only the newest is; a record is kept before
// any run under way that was given after it. So whenever the program ends, the finished run is there as
// a record or as a run under way. What cannot be kept, for instance because the disk is full, stays here and
// is tried again.
type Keeper struct {
	store *Store
	tell  func(error)
	ended chan struct{}
	last  string // what was told and is not mended, "" nothing

	mu      sync.Mutex
	change  *sync.Cond
	records [][]byte
	current []byte
	pending bool // current is to be kept
	quiz    []byte
	asked   bool // quiz is to be kept
	comfort []byte
	changed bool // comfort is to be kept
	paused  bool // the last try failed; wait for another thing or for the time
	closed  bool
}

// NewKeeper returns a Keeper on a store. What cannot be kept is told once, from another goroutine, and nil
// when it was kept after all. Checked by TestKeeper and TestKeeperTriesAgain.
func NewKeeper(s *Store, tell func(error)) *Keeper {
	k := &Keeper{store: s, tell: tell, ended: make(chan struct{})}
	k.change = sync.NewCond(&k.mu)
	go k.work()
	return k
}

// Keep keeps a finished run.
func (k *Keeper) Keep(record []byte) {
	k.give(func() { k.records = append(k.records, record) })
}

// SaveCurrent keeps the run under way in place of the one before; empty when there is none.
func (k *Keeper) SaveCurrent(run []byte) {
	k.give(func() { k.current, k.pending = run, true })
}

// SaveQuiz keeps what was practised in the quiz in place of what was kept before.
func (k *Keeper) SaveQuiz(practice []byte) {
	k.give(func() { k.quiz, k.asked = practice, true })
}

// SaveComfort keeps the settings of comfort in place of those before.
func (k *Keeper) SaveComfort(settings []byte) {
	k.give(func() { k.comfort, k.changed = settings, true })
}

// Close waits until all that was given is kept; what then cannot be is told and given up.
func (k *Keeper) Close() {
	k.give(func() { k.closed = true })
	<-k.ended
}

// give changes what is to be kept.
func (k *Keeper) give(change func()) {
	k.mu.Lock()
	defer k.mu.Unlock()
	change()
	k.paused = false
	k.change.Signal()
}

// task is a thing to be kept. kept and again are called with the lock held: when it is done with, and when it
// is to be tried once more.
type task struct {
	keep        func(context.Context) error
	kept, again func()
}

// work keeps one thing after the other until the keeper is closed.
func (k *Keeper) work() {
	defer close(k.ended)
	for {
		now, more := k.next()
		if !more {
			return
		}
		k.judge(now, now.keep(context.Background()))
	}
}

// judge takes note of whether a thing was kept, and tells. What the store refuses for good is given up; the
// rest is tried again.
func (k *Keeper) judge(now task, err error) {
	var refused *attempt.Refusal
	lasting := errors.Is(err, ErrElsewhere) || errors.As(err, &refused)
	k.mu.Lock()
	if err == nil || lasting || k.closed {
		now.kept()
	} else {
		now.again()
		k.paused = true
		time.AfterFunc(retryAfter, func() { k.give(func() {}) })
	}
	k.mu.Unlock()
	switch {
	case lasting:
		k.tell(err)
	case err != nil && err.Error() != k.last:
		k.last = err.Error()
		k.tell(err)
	case err == nil && k.last != "":
		k.last = ""
		k.tell(nil)
	}
}

// next waits for what is to be kept now: a record before the run under way, and that before the quiz and the
// settings; more is false when there is nothing left and nothing will come.
func (k *Keeper) next() (now task, more bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	for (k.paused || len(k.records) == 0 && !k.pending && !k.asked && !k.changed) && !k.closed {
		k.change.Wait()
	}
	// A text is off the list while it is being kept, so that one that is given meanwhile follows it.
	text := func(text []byte, waits *bool, save func(context.Context, []byte) error) (task, bool) {
		*waits = false
		return task{func(ctx context.Context) error { return save(ctx, text) }, func() {}, func() { *waits = true }}, true
	}
	switch {
	case len(k.records) > 0:
		record := k.records[0]
		return task{func(ctx context.Context) error {
			_, _, err := k.store.Add(ctx, record)
			return err
		}, func() { k.records = k.records[1:] }, func() {}}, true
	case k.pending:
		return text(k.current, &k.pending, k.store.SaveCurrent)
	case k.asked:
		return text(k.quiz, &k.asked, k.store.SaveQuiz)
	case k.changed:
		return text(k.comfort, &k.changed, k.store.SaveComfort)
	}
	return task{}, false
}
