// Package exam holds examinations. The life of a paper:
//
//	seal      Seal gives every candidate of a Paper their own teeth, questions and key, tries the teeth
//	          so that none is harder than the others, and signs. The paper stays with the instructor.
//	packet    Paper.Packet is what one candidate receives: the cases without rules and keys, signed.
//	sitting   Begin starts the clock. Sitting.Do and Sitting.Answer do one thing each and write one line
//	          to the log before it counts; Resume goes on from the lines after a kill or a power loss.
//	export    Sitting.Submit closes and returns the export, the one file that is handed in. Spoken is a
//	          receipt short enough to be read aloud.
//	verify    Examiner.Verify carries every action out again on the tooth that the paper gave this
//	          candidate, marks it by the paper's rules, and refuses with one of Codes.
//
// The main idea: what a candidate did is the evidence. Neither marks nor outcomes in an export are ever
// believed. Lines are chained by SHA-256 over the packet, so none can be dropped, moved or carried to
// another sitting; after each action the line holds the digest of the state, so that the first action
// at which a re-run parts is found.
//
// What signatures prove. The instructor's, on paper and packet: that they are as they were sealed. The
// candidate's, on the export: that whoever wrote it held this packet, and that nothing was changed since.
// It does not prove who sat there, and a candidate who writes a program of their own can sign a log of
// times and answers that never were; actions they still have to carry out on their tooth. Only lines
// that reached a server while they were written (Export.Follows) and the server's receipt prove when.
//
// What a packet reveals: a machine that grows the tooth knows the tooth, so a candidate who reads the
// packet with a program of their own can grow what is hidden, and can repeat a treatment in private.
// Rules, keys of the quiz, protocol and comments are not in it. Packet.Outside is a packet without teeth,
// for a sitting that is stepped on a server. Neither can show a second screen, or a program that chose
// the actions.
//
// Times come from the candidate's machine: the limit is held against the larger of wall and monotonic
// time, clock changes are noted, and no mark depends on a time.
//
// The package takes clock, chance and log from outside; File in file.go is a log on disk. Begin reading
// at Seal, Begin and Examiner.
package exam
