package main

import (
	"fmt"
	"os"
	"tugback/internal/scenario"
)

func main() {
	n := 0
	for _, f := range os.Args[1:] {
		items, err := scenario.LoadItems(f)
		n += len(items)
		if err != nil {
			fmt.Println(err)
		}
	}
	fmt.Println(n)
}
