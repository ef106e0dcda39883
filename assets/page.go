package assets

import "embed"

// Page holds the files of the browser's page but the program itself: the page, its style, and the
// script that loads the program. Checked by TestPageFiles of package server.
//
//go:embed page
var Page embed.FS
