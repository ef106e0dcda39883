//go:build !js

package desk_test

import (
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"sync/atomic"
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
func classWith(t *testing.T, stepped bool) *httptest.Server {
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
	upload := class.Upload{Stepped: stepped, Paper: "room-1", Title: "Room 1", Candidates: []class.UploadCandidate{{ID: "ALFA", Token: roomToken, Packet: specimen.Packet(t, paper, "ALFA")}}, Sealed: whole}
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
	server := classWith(t, false)
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
	if said, err := second.Comments(); err != nil || !strings.HasPrefix(string(said), "candidate,case,") {
		t.Errorf("comments: %q, %v", said, err)
	}
	if _, err := at(t, server, "another").Fetch(); err == nil {
		t.Error("a wrong token gets a paper")
	}
}

// TestRefusedLines holds that a lasting refusal of the server ends the sending and is told once, that one of
// the moment does not, and that the log here grows all the same.
func TestRefusedLines(t *testing.T) {
	paper := specimen.Seal(t, exam.Paper{ID: "room-2", Title: "Room 2", Cases: specimen.Cases(t, "lower-premolar"), Terms: exam.Terms{Attempts: 1}})
	packet, err := exam.DecodePacket(specimen.Packet(t, paper, "ALFA"))
	if err != nil {
		t.Fatal(err)
	}
	for status, lasting := range map[int]bool{http.StatusForbidden: true, http.StatusConflict: true, http.StatusUnauthorized: true,
		http.StatusTooManyRequests: false, http.StatusInsufficientStorage: false} {
		var asked atomic.Int32
		server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
			asked.Add(1)
			http.Error(w, "the paper is closed", status)
		}))
		told := make(chan error, 8)
		d := at(t, server, roomToken).Told(func(err error) { told <- err })
		log, _, err := d.Log(packet, 1)
		if err != nil {
			t.Fatal(err)
		}
		add := func() {
			t.Helper()
			if err := log.Append([][]byte{[]byte("{}")}); err != nil {
				t.Errorf("status %d: the line is not kept here: %v", status, err)
			}
		}
		add()
		if lasting {
			select {
			case err := <-told:
				if !strings.Contains(err.Error(), "the paper is closed") {
					t.Errorf("status %d: told %v, not the server's words", status, err)
				}
			case <-time.After(5 * time.Second):
				t.Fatalf("status %d is not told", status)
			}
			add()
		} else {
			for until := time.Now().Add(5 * time.Second); asked.Load() == 0 && time.Now().Before(until); {
				time.Sleep(time.Millisecond)
			}
		}
		time.Sleep(20 * time.Millisecond)
		if n := asked.Load(); n != 1 || len(told) > 0 {
			t.Errorf("status %d: asked %d times and told %d more, want once and none", status, n, len(told))
		}
		server.Close()
	}
}

// TestSteppedRoom gets a paper that the class server steps, of which no tooth comes, and steps it: what is done is
// told, asked again it is not done twice, an unknown token is refused at once, and without a server there is no seat.
func TestSteppedRoom(t *testing.T) {
	server := classWith(t, true)
	d := at(t, server, roomToken)
	data, err := d.Fetch()
	if err != nil {
		t.Fatal(err)
	}
	if packet, err := exam.DecodeOutside(data); err != nil || packet.Cases[0].Text != "" || packet.Key != "" {
		t.Errorf("got %+v, error %v", packet, err)
	}
	seat := d.Seat()
	if status, err := seat.Status(); err != nil || !status.Stepped {
		t.Errorf("status %+v, error %v", status, err)
	}
	if _, err := seat.Step(1, handin.Step{Do: handin.StepBegin}); err != nil {
		t.Fatal(err)
	}
	judge := handin.Step{Do: handin.StepAction, View: true, Action: &treatment.Action{Do: treatment.Judge, Choice: "treat", Agent: "low"}}
	for range 2 {
		if seen, err := seat.Step(1, judge); err != nil || seen.Acts != 1 || len(seen.View) == 0 {
			t.Errorf("got %+v, error %v", seen, err)
		}
	}
	begun := time.Now()
	if _, err := at(t, server, "another").Seat().Step(1, judge); err == nil || time.Since(begun) > time.Second {
		t.Errorf("a wrong token: error %v after %v", err, time.Since(begun))
	}
	if desk.NewFolder(t.TempDir(), "", "").Seat() != nil {
		t.Error("there is a seat without a server")
	}
}
