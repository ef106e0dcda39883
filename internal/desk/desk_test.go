//go:build !js

package desk_test

import (
	"io"
	"log/slog"
	"net/http/httptest"
	"path/filepath"
	"testing"
	"time"

	"tugback/internal/class"
	"tugback/internal/desk"
	"tugback/internal/exam"
	"tugback/internal/handin"
	"tugback/internal/specimen"
	"tugback/internal/treatment"
)

const roomToken = "a-token-of-some-length-for-ALFA"

// classWith returns a class server that hands out a sealed paper of one case.
func classWith(t *testing.T) *httptest.Server {
	t.Helper()
	paper := specimen.Seal(t, exam.Paper{ID: "room-1", Title: "Room 1", Cases: specimen.Cases(t, "lower-premolar"), Terms: exam.Terms{LimitS: 3600, Attempts: 2}})
	c, err := class.Open(t.Context(), t.TempDir(), class.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	whole, err := paper.Encode()
	if err != nil {
		t.Fatal(err)
	}
	upload := class.Upload{Paper: "room-1", Title: "Room 1", Candidates: []class.UploadCandidate{{ID: "ALFA", Token: roomToken, Packet: specimen.Packet(t, paper, "ALFA")}}, Sealed: whole}
	if err := c.AddPaper(t.Context(), "test", upload); err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(c.Handler(nil, slog.New(slog.NewTextHandler(io.Discard, nil)), false))
	t.Cleanup(server.Close)
	return server
}

// at returns the desk of a machine with a folder of its own.
func at(t *testing.T, server *httptest.Server, token string) desk.Desk {
	return desk.NewFolder(filepath.Join(t.TempDir(), "exams"), server.URL, token)
}

// sitAt begins or goes on with the first attempt at a desk.
func sitAt(t *testing.T, d desk.Desk) (*exam.Sitting, exam.Packet) {
	t.Helper()
	data, err := d.Fetch()
	if err != nil {
		t.Fatal(err)
	}
	packet, err := exam.DecodePacket(data)
	if err != nil {
		t.Fatal(err)
	}
	log, lines, err := d.Log(packet, 1)
	if err != nil {
		t.Fatal(err)
	}
	var s *exam.Sitting
	if len(lines) == 0 {
		s, err = exam.Begin(packet, 1, exam.Options{Log: log})
	} else {
		s, err = exam.Resume(packet, lines, exam.Options{Log: log})
	}
	if err != nil {
		t.Fatal(err)
	}
	return s, packet
}

// TestClassroom sits a paper from a class server at two machines: what was done at the first stands in the log
// that the server sends to the second; the hand-in gives the receipt of the export.
func TestClassroom(t *testing.T) {
	server := classWith(t)
	first := at(t, server, roomToken)
	s, _ := sitAt(t, first)
	if _, err := s.Do(0, treatment.Action{Do: treatment.Judge, Choice: "treat", Agent: "low"}); err != nil {
		t.Fatal(err)
	}
	for until := time.Now().Add(5 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		log, err := handin.Client{Base: server.URL, Token: roomToken}.Log(t.Context(), "1")
		if err == nil && len(log.Lines) == 2 {
			break
		}
		if time.Now().After(until) {
			t.Fatalf("the server has %d lines, error %v", len(log.Lines), err)
		}
	}
	second := at(t, server, roomToken)
	s, packet := sitAt(t, second)
	if n := len(s.Run(0).Actions()); n != 1 {
		t.Fatalf("at the second machine %d actions are done, want 1", n)
	}
	export, err := s.Submit()
	if err != nil {
		t.Fatal(err)
	}
	if where, err := second.Keep(exam.ExportFile(packet.Candidate, 1), export); err != nil {
		t.Fatal(where, err)
	}
	handed := <-second.HandIn(1, export)
	if handed.Err != nil || handed.Digest != exam.Digest(export) || handed.Late {
		t.Errorf("handed in: %+v, want %s", handed, exam.Digest(export))
	}
	if _, err := at(t, server, "another").Fetch(); err == nil {
		t.Error("a wrong token gets a paper")
	}
}
