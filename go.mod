module tugback

go 1.26.0

require (
	git.sr.ht/~sbinet/gg v0.8.0 // indirect
	github.com/alecthomas/kong v1.17.0 // indirect
	github.com/expr-lang/expr v1.17.8 // indirect
	github.com/golang/freetype v0.0.0-20170609003504-e2365dfdc4a0 // indirect
	github.com/google/go-cmp v0.7.0 // indirect
	github.com/gowebpki/jcs v1.0.2 // indirect
	github.com/ojrac/opensimplex-go v1.0.2 // indirect
	github.com/rogpeppe/go-internal v1.16.0 // indirect
	golang.org/x/image v0.47.0 // indirect
	golang.org/x/sys v0.49.0 // indirect
	golang.org/x/text v0.43.0 // indirect
	gonum.org/v1/gonum v0.17.0 // indirect
	gopkg.in/yaml.v3 v3.0.1 // indirect
	pgregory.net/rapid v1.3.0 // indirect
)
