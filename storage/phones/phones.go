// Package phones tells the messages of several phones apart that write into one log.
//
// Inside a log a message is a number. That of a second phone's message is made of the
// number that the phone has in this log, from 1, and the one that the message has on its
// phone: no app and no table gives numbers as large as these, so they are none of the
// operator's, and each is read back without a table. The operator's own phone is 0, its
// messages keep their numbers. Which of two phones' messages came later, their numbers
// don't say.
package phones

// most bounds the numbers that apps give: Unix milliseconds take 41 bits today.
const most = 1 << 48

// Message is the number in the log of a phone's message; ok is false for one that has
// none there.
func Message(phone, number int64) (message int64, ok bool) {
	if phone < 0 || number <= 0 || number >= most {
		return 0, false
	}
	return phone*most + number, true
}

// Of is the phone that a message in the log was written on; 0: the operator's own.
func Of(message int64) (phone int64) { return max(message, 0) / most }

// OnPhone is the number that a message in the log has on its phone.
func OnPhone(message int64) int64 {
	if message < 0 {
		return message
	}
	return message % most
}
