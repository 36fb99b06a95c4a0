package guests

import (
	"fmt"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"skyslate/storage"
)

// Every text fits a narrow phone, but for the link of an invitation.
func TestTextsFit(t *testing.T) {
	at := time.Date(2026, 12, 28, 23, 59, 0, 0, time.UTC)
	i := invitation{Number: 9, Until: at, Came: at, Off: at}
	who := "HX7ABC"
	texts := []string{
		textStranger, textGroup, textOwner, textNotYours, inviteHow(true, true), inviteHow(false, true), textManyInvites, textNoInvites, textPutOut,
		textReplaced, faultsText([]storage.Fault{{Post: true}, {}}), inviteText(i, "link"), invitedText(nil, 1, 99),
		fmt.Sprintf(textTakenBack, 9), fmt.Sprintf(textEnded, 9), fmt.Sprintf(textNoSuchInvite, 9),
		damageText(at), damageText(time.Time{}), fmt.Sprintf(textGuestOut, who), fmt.Sprintf(textStillIn, who),
		fmt.Sprintf(textIsIn, who), fmt.Sprintf(textInvitedTo, who, 9),
	}
	for _, s := range []state{isOpen, isIn, isOff, isEnded} {
		texts = append(texts, invitedLine(i, s, who))
	}
	for _, text := range texts {
		for line := range strings.Lines(text) {
			if n := utf8.RuneCountInString(strings.TrimSuffix(line, "\n")); n > 38 {
				t.Errorf("a line of %d characters: %q", n, line)
			}
		}
		if n := strings.Count(text, "\n"); n > 14 {
			t.Errorf("%d lines: %q", n+1, text)
		}
	}
}
