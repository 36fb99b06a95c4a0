package terminal

const (
	// textFilesStay is what remains of an operator who is forgotten.
	textFilesStay = "Files that I gave you stay in sent/ of the data directory."
	// notFollowed answers a line for the phone that is wrong: what was found and
	// expected.
	notFollowed = "(not done: found %q, expected %s)\n"
)
