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
		record, run, ok := k.next()
		if !ok {
			return
		}
		var err error
		if record != nil {
			_, _, err = k.store.Add(context.Background(), record)
		} else {
			err = k.store.SaveCurrent(context.Background(), run)
		}
		if err != nil {
			k.tell(err)
		}
	}
}

// next waits for what is to be kept now: a record, or, when record is nil, the run under way. ok is
// false when there is nothing left and nothing will come.
func (k *Keeper) next() (record, run []byte, ok bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	for len(k.records) == 0 && !k.pending && !k.closed {
		k.change.Wait()
	}
	switch {
	case len(k.records) > 0:
		record, k.records = k.records[0], k.records[1:]
		return record, nil, true
	case k.pending:
		k.pending = false
		return nil, k.current, true
	}
	return nil, nil, false
}
