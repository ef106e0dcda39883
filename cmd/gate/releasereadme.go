package main

// releaseReadme is what whoever gets a release reads first.
const releaseReadme = `tugback: a teaching simulator of root canal treatment
A training aid on computed teeth. Not for the treatment of patients; no dose advice.

FOR A STUDENT'S OR A TEACHER'S OWN COMPUTER: one file, nothing to install
  Windows   tugback-windows-amd64.exe (most) or -arm64.exe; double-click it. Where Windows warns of a
            program it does not know: More info, Run anyway.
  macOS     tugback-macos-arm64 (2020 and later) or -amd64. In Terminal, in the folder of the file:
                chmod +x tugback-macos-arm64
                xattr -d com.apple.quarantine tugback-macos-arm64
                ./tugback-macos-arm64
  Linux     tugback-linux-amd64 or -arm64:
                chmod +x tugback-linux-amd64
                ./tugback-linux-amd64
It opens the bench in the browser; that page is served on this computer only and needs no network. Closing
the program's window, or Ctrl-C, ends it; nothing is lost. Practice is kept in one file, whose place the
program prints (tugback --help tells how to name another, or the variable TUGBACK_DATA a folder). The same
file has all commands: tugback treat lower-premolar, tugback check, tugback gradebook and so on.

FOR A SCHOOL'S WEB SPACE: tugback-page.zip
  Unpack it anywhere in the web space, in a folder of its own if you like; there is nothing to configure and
  no server of ours is needed. Any server of plain files will do, over https. A run under way stays in the
  student's browser, a finished one is offered as a download. The page sends nothing to anybody.
  To update, replace the folder. It does not work when index.html is opened by a double-click.
  Browsers from 2023 on: some 6 MB are loaded once.

FOR A CLASS, WITH EXAMS AND HAND-INS
  tugback serve --class FOLDER     serves a class; tugback serve --help tells the rest.

TO CHECK WHAT YOU GOT
  sha256sum -c SHA256SUMS          (macOS: shasum -a 256 -c SHA256SUMS)
LICENCES.txt holds the terms of everything that is inside.
`
