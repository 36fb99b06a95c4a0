package terminal

// textFilesStay is what remains of an operator who is forgotten.
const textFilesStay = "Files that I gave you stay in sent/ of the data directory."
