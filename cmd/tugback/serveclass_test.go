package main_test

import (
	"bufio"
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"io"
	"math/big"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// certificate writes a certificate for 127.0.0.1, signed by its own key, and returns both files.
func certificate(t *testing.T, folder, name string) (cert, key string) {
	t.Helper()
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	template := &x509.Certificate{SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: name}, NotBefore: time.Now().Add(-time.Hour),
		NotAfter: time.Now().Add(time.Hour), IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true}
	public, err := x509.CreateCertificate(rand.Reader, template, template, private.Public(), private)
	if err != nil {
		t.Fatal(err)
	}
	secret, err := x509.MarshalPKCS8PrivateKey(private)
	if err != nil {
		t.Fatal(err)
	}
	cert, key = filepath.Join(folder, name+".pem"), filepath.Join(folder, name+".key")
	for file, block := range map[string]*pem.Block{cert: {Type: "CERTIFICATE", Bytes: public}, key: {Type: "PRIVATE KEY", Bytes: secret}} {
		if err := os.WriteFile(file, pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return cert, key
}

// classServer is the program serving a class.
type classServer struct {
	url, password string
	cmd           *exec.Cmd
	errors        bytes.Buffer
}

// serveClass starts the program on a class and waits for its address.
func serveClass(t *testing.T, program, place string, more ...string) *classServer {
	t.Helper()
	return startClass(t, program, place, append([]string{"--no-page"}, more...)...)
}

// startClass serves a class by the program, with the bench's page unless it is told not to.
func startClass(t *testing.T, program, place string, more ...string) *classServer {
	t.Helper()
	s := &classServer{cmd: exec.Command(program, append([]string{"serve", "--class", place, "--addr", "127.0.0.1:0"}, more...)...)}
	s.cmd.Stderr = &s.errors
	out, err := s.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := s.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.cmd.Process.Kill(); s.cmd.Wait() })
	lines := bufio.NewScanner(out)
	for s.url == "" && lines.Scan() {
		if _, word, found := strings.Cut(lines.Text(), " has the password "); found {
			s.password = word
		}
		if _, address, found := strings.Cut(lines.Text(), " is at "); found {
			s.url, _, _ = strings.Cut(address, ",")
		}
	}
	if s.url == "" {
		s.cmd.Wait()
		t.Fatalf("the program gives no address; it says %s", s.errors.String())
	}
	go io.Copy(io.Discard, out)
	return s
}

// TestServeTLS serves a class by the program with a certificate: an instructor signs in by TLS alone and the
// cookie never leaves it; a browser that does not know the certificate, and one that speaks no TLS, get
// nothing; Ctrl-C ends it with code 0 and the next start has the instructor still.
func TestServeTLS(t *testing.T) {
	program, folder := build(t), t.TempDir()
	place := filepath.Join(folder, "class")
	cert, key := certificate(t, folder, "school")
	s := serveClass(t, program, place, "--tls-cert", cert, "--tls-key", key)
	if !strings.HasPrefix(s.url, "https://127.0.0.1:") || s.password == "" {
		t.Fatalf("address %q, password %q", s.url, s.password)
	}
	text, err := os.ReadFile(cert)
	if err != nil {
		t.Fatal(err)
	}
	known := x509.NewCertPool()
	known.AppendCertsFromPEM(text)
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	browser := &http.Client{Jar: jar, Timeout: 10 * time.Second, Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: known}}}
	browser.CheckRedirect = func(r *http.Request, _ []*http.Request) error {
		for _, cookie := range r.Response.Cookies() {
			if !cookie.Secure || !cookie.HttpOnly {
				t.Errorf("the cookie would go without TLS or to scripts: %v", cookie)
			}
		}
		return nil
	}
	answer, err := browser.PostForm(s.url+"instructor/sign-in", url.Values{"name": {"instructor"}, "password": {s.password}})
	if err != nil || answer.StatusCode != http.StatusOK || answer.Request.URL.Path != "/instructor/" || len(jar.Cookies(answer.Request.URL)) == 0 {
		t.Fatalf("sign-in: %v, error %v", answer, err)
	}
	answer.Body.Close()
	if _, err := http.Get(s.url); err == nil || !strings.Contains(err.Error(), "certificate") {
		t.Errorf("an unknown certificate is taken: %v", err)
	}
	if answer, err := http.Get("http" + strings.TrimPrefix(s.url, "https")); err == nil {
		if answer.Body.Close(); answer.StatusCode != http.StatusBadRequest {
			t.Errorf("without TLS: status %d, want 400", answer.StatusCode)
		}
	}
	if err := s.cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	if err := s.cmd.Wait(); err != nil || strings.Contains(s.errors.String(), "can be read on the way") {
		t.Errorf("ends with %v; it says %s", err, s.errors.String())
	}
	if again := serveClass(t, program, place, "--tls-cert", cert, "--tls-key", key); again.password != "" {
		t.Error("a second start makes the instructor anew")
	}
}

// TestServeBadTLS holds that a certificate that is missing, damaged or of another key is refused before
// anything is served or made, with the names of the files.
func TestServeBadTLS(t *testing.T) {
	program, folder := build(t), t.TempDir()
	cert, key := certificate(t, folder, "school")
	_, other := certificate(t, folder, "other")
	damaged := filepath.Join(folder, "damaged.pem")
	if err := os.WriteFile(damaged, []byte("no certificate"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args []string
		code int
		want string
	}{
		{[]string{"--tls-cert", cert}, 2, "--tls-cert and --tls-key go together"},
		{[]string{"--tls-cert", cert, "--tls-key", other}, 1, "private key does not match public key"},
		{[]string{"--tls-cert", damaged, "--tls-key", key}, 1, damaged},
		{[]string{"--tls-cert", filepath.Join(folder, "none.pem"), "--tls-key", key}, 1, "none.pem"},
	} {
		cmd := exec.Command(program, append([]string{"serve", "--class", filepath.Join(folder, "class"), "--addr", "127.0.0.1:0", "--no-page"}, c.args...)...)
		var out, errors bytes.Buffer
		cmd.Stdout, cmd.Stderr = &out, &errors
		cmd.Run() // its code is looked at
		if code := cmd.ProcessState.ExitCode(); code != c.code || !strings.Contains(errors.String(), c.want) || out.Len() > 0 {
			t.Errorf("%v: code %d, want %d; it says %s%s", c.args, code, c.code, &out, &errors)
		}
	}
	if _, err := os.Stat(filepath.Join(folder, "class")); err == nil {
		t.Error("a class was made all the same")
	}
}
