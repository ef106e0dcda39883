package store

import (
	"context"
	"sync"
)

// Keeper keeps practice for a caller that must not wait: its methods return at once, and one after the
// other what they were given is kept. Of the run under way only the newest is; a record is kept before
// any run under way that was given after it. So whenever the program ends, the finished run is there as
// a record or as a run under way.
type Keeper struct {
	store *Store
	tell  func(error)
	ended chan struct{}

	mu      sync.Mutex
	change  *sync.Cond
	records [][]byte
	current []byte
	pending bool // current is to be kept
	quiz    []byte
	asked   bool // quiz is to be kept
	comfort []byte
	changed bool // comfort is to be kept
	closed  bool
}

// NewKeeper returns a Keeper on a store. What cannot be kept is told, from another goroutine, and the
// run under way is tried again with its next change. Checked by TestKeeper.
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

// Close waits until all that was given is kept, or told of.
func (k *Keeper) Close() {
	k.give(func() { k.closed = true })
	<-k.ended
}

// give changes what is to be kept.
func (k *Keeper) give(change func()) {
	k.mu.Lock()
	defer k.mu.Unlock()
	change()
	k.change.Signal()
}

// work keeps one thing after the other until the keeper is closed.
func (k *Keeper) work() {
	defer close(k.ended)
	for {
		keep := k.next()
		if keep == nil {
			return
		}
		if err := keep(context.Background()); err != nil {
			k.tell(err)
		}
	}
}

// next waits for what is to be kept now and returns what keeps it: a record before the run under way,
// and that before the quiz and the settings; nil when there is nothing left and nothing will come.
func (k *Keeper) next() func(context.Context) error {
	k.mu.Lock()
	defer k.mu.Unlock()
	for len(k.records) == 0 && !k.pending && !k.asked && !k.changed && !k.closed {
		k.change.Wait()
	}
	switch {
	case len(k.records) > 0:
		record := k.records[0]
		k.records = k.records[1:]
		return func(ctx context.Context) error {
			_, _, err := k.store.Add(ctx, record)
			return err
		}
	case k.pending:
		run := k.current
		k.pending = false
		return func(ctx context.Context) error { return k.store.SaveCurrent(ctx, run) }
	case k.asked:
		practice := k.quiz
		k.asked = false
		return func(ctx context.Context) error { return k.store.SaveQuiz(ctx, practice) }
	case k.changed:
		settings := k.comfort
		k.changed = false
		return func(ctx context.Context) error { return k.store.SaveComfort(ctx, settings) }
	}
	return nil
}
