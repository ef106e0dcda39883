package store_test

import (
	"context"
	"path/filepath"
	"testing"

	"tugback/internal/store"
)

// TestQuiz holds that the practice of the quiz is there again after the store was closed, the newest
// only, and that what is no JSON is refused and changes nothing.
func TestQuiz(t *testing.T) {
	ctx, path := context.Background(), filepath.Join(t.TempDir(), "practice.db")
	s, err := store.Open(ctx, path)
	if err != nil {
		t.Fatal(err)
	}
	if data, err := s.Quiz(ctx); err != nil || data != nil {
		t.Errorf("a new store holds %q, %v", data, err)
	}
	k := store.NewKeeper(s, func(err error) { t.Error(err) })
	k.SaveQuiz([]byte(`{"format":1}`))
	k.SaveQuiz([]byte(`{"format":1,"cards":[]}`))
	k.Close()
	if err := s.SaveQuiz(ctx, []byte("{")); err == nil {
		t.Error("half a text is kept")
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if s, err = store.Open(ctx, path); err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if data, err := s.Quiz(ctx); err != nil || string(data) != `{"format":1,"cards":[]}` {
		t.Errorf("kept is %q, %v", data, err)
	}
}
