package comment_test

import (
	"slices"
	"strings"
	"testing"

	"tugback/internal/comment"
)

// TestParse reads comments as a spreadsheet writes them (RFC 4180, a byte order mark before it), gives the
// same after writing, and tells every fault with its line.
func TestParse(t *testing.T) {
	text := "\xef\xbb\xbfcandidate,case,action,by,comment\r\nc1,molar,2,E. Examiner,\"Well seen, \"\"really\"\"\"\r\nc2,1a2b3c4d,,E,\"two\nlines\"\r\nc1,molar,1,,x\r\n"
	want := []comment.Comment{{"c1", "molar", 2, "E. Examiner", `Well seen, "really"`, 2}, {"c2", "1a2b3c4d", 0, "E", "two\nlines", 3}, {"c1", "molar", 1, "", "x", 5}}
	got, err := comment.Parse("k.csv", []byte(text))
	if err != nil || !slices.Equal(got, want) {
		t.Errorf("got %+v, %v", got, err)
	}
	again, err := comment.Parse("k.csv", comment.Encode(got))
	if err != nil || !slices.Equal(again, want) {
		t.Errorf("written and read again: %+v, %v", again, err)
	}
	for _, bad := range []struct{ text, say string }{
		{"candidate,case\n", "k.csv:1: the head is not"},
		{"", "k.csv:1: the head is not"},
		{"candidate,case,action,by,comment\nc,x,-1,E,y\nc,x,1,E, \n", "k.csv:3: the comment is empty"},
		{"candidate,case,action,by,comment\nc,x,0,E,y\n", "k.csv:2: action is"},
		{"candidate,case,action,by,comment\nc,x\n", "wrong number of fields"},
		{"candidate,case,action,by,comment\n" + strings.Repeat("c,x,1,E,y\n", comment.Most+1), "more than 2000"},
		{strings.Repeat("x", comment.Limit+1), "allowed 1048576"},
	} {
		if _, err := comment.Parse("k.csv", []byte(bad.text)); err == nil || !strings.Contains(err.Error(), bad.say) {
			t.Errorf("%.60q: got %v, want %q", bad.text, err, bad.say)
		}
	}
}

// FuzzParse: no file makes reading panic, and what was read is whole.
func FuzzParse(f *testing.F) {
	f.Add([]byte("candidate,case,action,by,comment\nc,x,1,E,y\n"))
	f.Add([]byte("\xef\xbb\xbfcandidate,case,action,by,comment\n\"c\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		list, err := comment.Parse("f.csv", data)
		for _, c := range list {
			if c.Action < 0 || c.Text == "" {
				t.Errorf("%+v was read", c)
			}
		}
		if err == nil {
			if _, err := comment.Parse("f.csv", comment.Encode(list)); err != nil {
				t.Errorf("what was read cannot be read again: %v", err)
			}
		}
	})
}
