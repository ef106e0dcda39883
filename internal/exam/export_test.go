package exam

import "os"

// FileOn returns a log on a file that is open.
func FileOn(f *os.File) *File { return &File{file: f, path: f.Name()} }
