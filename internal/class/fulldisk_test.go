package class_test

import (
	"bytes"
	"database/sql"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"tugback/internal/class"
	"tugback/internal/handin"
)

// smallDisk mounts a disk of a few megabytes in memory, a part of it taken by a file that free removes.
// Only root may mount.
func smallDisk(t *testing.T, megabytes int) (folder string, free func()) {
	t.Helper()
	if runtime.GOOS != "linux" || os.Geteuid() != 0 {
		t.Skip("not checked: only root on Linux can mount a disk in memory")
	}
	folder = filepath.Join("/tmp", fmt.Sprintf("class-disk-%d-%d", os.Getpid(), schemas.Add(1)))
	if err := os.Mkdir(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", fmt.Sprintf("size=%dm", megabytes), "tmpfs", folder).CombinedOutput(); err != nil {
		os.Remove(folder)
		t.Skipf("not checked: no disk in memory can be mounted here: %v: %s", err, out)
	}
	t.Cleanup(func() {
		if out, err := exec.Command("umount", "-l", folder).CombinedOutput(); err != nil {
			t.Errorf("%v: %s", err, out)
		}
		os.Remove(folder)
	})
	ballast := filepath.Join(folder, "ballast")
	if err := os.WriteFile(ballast, make([]byte, megabytes<<19), 0o600); err != nil {
		t.Fatal(err)
	}
	return folder, func() {
		if err := os.Remove(ballast); err != nil {
			t.Error(err)
		}
	}
}

// onFullDisk runs a test on each database at hand with its tables on a small disk.
func onFullDisk(t *testing.T, test func(t *testing.T, place string, free func())) {
	t.Run("sqlite", func(t *testing.T) {
		folder, free := smallDisk(t, 16)
		test(t, filepath.Join(folder, "class"), free)
	})
	t.Run("postgres", func(t *testing.T) {
		address := os.Getenv(postgresVariable)
		if address == "" {
			t.Skip("no PostgreSQL: " + postgresVariable + " names none")
		}
		folder, free := smallDisk(t, 16)
		test(t, onTablespace(t, address, folder), free)
	})
}

// onTablespace returns an empty schema of a PostgreSQL on this computer whose tables lie in a folder.
func onTablespace(t *testing.T, address, folder string) string {
	t.Helper()
	if _, err := user.Lookup("postgres"); err != nil {
		t.Skipf("not checked: %v", err)
	}
	space := filepath.Join(folder, "space")
	if err := os.Mkdir(space, 0o700); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("chown", "postgres", space).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	db, err := sql.Open("pgx", address)
	if err != nil {
		t.Fatal(err)
	}
	name := fmt.Sprintf("space%d", os.Getpid())
	if _, err := db.ExecContext(t.Context(), fmt.Sprintf("CREATE TABLESPACE %s LOCATION '%s'", name, space)); err != nil {
		t.Skipf("not checked: this PostgreSQL makes no tablespace in %s: %v", space, err)
	}
	t.Cleanup(func() { // after the schema, whose cleanup is registered later and so runs before
		if _, err := db.Exec("DROP TABLESPACE " + name); err != nil {
			t.Error(err)
		}
		db.Close()
	})
	u, err := url.Parse(schema(t, address))
	if err != nil {
		t.Fatal(err)
	}
	query := u.Query()
	query.Set("default_tablespace", name)
	u.RawQuery = query.Encode()
	return u.String()
}

// TestFullDisk fills the disk under a class by hand-ins. The refusal must say what to do; what had a receipt
// must be there byte for byte, nothing of what was refused; nobody gets in who should not; and once there is
// room the same hand-in is taken.
func TestFullDisk(t *testing.T) {
	onFullDisk(t, func(t *testing.T, place string, free func()) {
		c, _, server := begin(t, place)
		if err := c.AddInstructor(t.Context(), "eve", password); err != nil {
			t.Fatal(err)
		}
		ann := client(server, "ann")
		taken, refused := fill(t, ann)
		t.Logf("%d hand-ins of 1 MB were taken before the disk was full", len(taken))
		keptExactly(t, c, taken)
		for name, want := range map[string]int{"ann": 0, "cy": 401, "": 401} {
			stranger := handin.Client{Base: server.URL, Token: token("p", name), HTTP: server.Client()}
			if _, err := stranger.Packet(t.Context()); status(err) != want {
				t.Errorf("%q on a full disk: got %v, want %d", name, err, want)
			}
		}
		signInOnFull(t, server)
		free()
		if _, err := ann.Submit(t.Context(), "again", refused); err != nil {
			t.Errorf("with room again: %v", err)
		}
		keptExactly(t, c, append(taken, refused))
	})
}

// fill hands in until the disk is full and returns what was taken and what was refused.
func fill(t *testing.T, who handin.Client) (taken [][]byte, refused []byte) {
	t.Helper()
	for i := range 18 {
		data := make([]byte, 1<<20) // of no pattern, since PostgreSQL packs what it keeps
		state := uint32(i + 1)
		for k := range data {
			state = state*1664525 + 1013904223
			data[k] = byte(state >> 24)
		}
		receipt, err := who.Submit(t.Context(), "one", data)
		if status(err) == 0 {
			if err := receipt.Check(receipt.Key); err != nil {
				t.Fatal(err)
			}
			taken = append(taken, data)
			continue
		}
		if status(err) != 507 || !strings.Contains(err.Error(), "no room left; nothing was kept, keep your copy and try again") {
			t.Fatalf("full: got %v, want 507 with what to do", err)
		}
		return taken, data
	}
	t.Fatal("the disk is never full")
	return nil, nil
}

// keptExactly holds that the class holds these hand-ins, byte for byte, and no other.
func keptExactly(t *testing.T, c *class.Class, want [][]byte) {
	t.Helper()
	n := 0
	err := c.Sittings(t.Context(), "p", "", func(s class.Sitting) error {
		n++
		for _, data := range want {
			if bytes.Equal(data, s.Data) {
				return nil
			}
		}
		t.Errorf("a hand-in of %s is kept that was not taken, or is damaged", s.Candidate)
		return nil
	})
	if err != nil || n != len(want) {
		t.Errorf("%d hand-ins are kept, want %d, error %v", n, len(want), err)
	}
}

// signInOnFull holds that a full disk lets nobody in with a wrong password, and keeps the right one out with
// a reason or lets it in, but does neither by half.
func signInOnFull(t *testing.T, server *httptest.Server) {
	t.Helper()
	for word, allowed := range map[string][]int{"wrong": {401}, password: {http.StatusOK, http.StatusInsufficientStorage}} {
		b := browser(t)
		r, err := b.PostForm(server.URL+"/instructor/sign-in", url.Values{"name": {"eve"}, "password": {word}})
		code, _ := read(t, r, err)
		ok := false
		for _, a := range allowed {
			ok = ok || code == a
		}
		if !ok {
			t.Errorf("sign-in on a full disk: got %d, want one of %v", code, allowed)
		}
		_, text := read2(t, b, server.URL+"/instructor/")
		if in := strings.Contains(text, ">p</a>"); in != (code == http.StatusOK) {
			t.Errorf("sign-in answered %d, and the papers are shown: %v", code, in)
		}
	}
}
