// Command tugback serves the bench for the browser on the same computer; with a command it grows a
// tooth, treats it by a written plan and marks what came of it.
package main

import (
	"os"
	"path/filepath"
	"time"

	"tugback/internal/cli"
	"tugback/scenarios"
)

func main() {
	os.Exit(cli.Main(os.Args[1:], cli.Streams{
		Out: os.Stdout, Err: os.Stderr, Shipped: scenarios.Files, Debug: os.Getenv("TUGBACK_DEBUG") != "",
		Bench: bench, Page: writePage, Preview: preview, Serve: serveClass, Practice: practice, In: os.Stdin, Now: time.Now, QuizPath: quizPath,
	}))
}

// quizPath returns where the answers to a quiz are kept unless another place is named.
func quizPath() (string, error) {
	folder, err := os.UserConfigDir()
	if err != nil {
		return "", err
	}
	return filepath.Join(folder, "tugback", "quiz.json"), nil
}
