package parse

// slips gives for each character what it is most often typed for: look-alikes
// first, then neighbours on the usual keyboards.
var slips = map[byte]string{
	'O': "0", 'I': "1", 'L': "1", 'S': "5", 'B': "8", 'Z': "2", 'G': "6", 'Q': "0", 'D': "0",
	'P': "0", 'W': "2", 'E': "3", 'R': "4", 'T': "5", 'Y': "6", 'U': "7", 'A': "4",
}

// offerGrids offers what a part of a grid or a damaged one could be.
func (j *judgement) offerGrids(e *element) {}

// offerMended offers calls that a damaged one could be.
func (j *judgement) offerMended() {}

// damagedCall reports whether a word of the line could be a call with a slip.
func (j *judgement) damagedCall() bool { return false }
