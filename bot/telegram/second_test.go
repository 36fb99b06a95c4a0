package telegram

import (
	"strings"
	"testing"
)

// A second phone is let in by a link, as far as that goes: nobody's guest, it writes into
// the one log, and is a stranger again when that is over.
func TestSecondPhone(t *testing.T) {
	inHouse(t, config{owned: true}, func(t *testing.T, h *house) {
		boss := h.owned(7)
		h.asked(boss, "ox9qzt")
		h.asked(boss, "jo33")
		text := h.asked(boss, "/second")
		link := text[strings.LastIndexByte(text, '\n')+1:]
		code, ok := strings.CutPrefix(link, "https://t.me/skyslate_test_bot?start=")
		if !ok || len(code) != len("phone-")+26 || !strings.HasPrefix(code, "phone-") {
			t.Fatalf("the offer is %q", text)
		}
		ole := h.server.Phone(8, "Ole")
		if got := h.asked(ole, "/start "+code); !strings.Contains(got, "the log of OX9QZT") {
			t.Errorf("who comes by the link is told %q", got)
		}
		if got := h.asked(h.server.Phone(9, "Finn"), "/start "+code); !strings.Contains(got, "lets no phone in") {
			t.Errorf("the link works twice: %q", got)
		}
		line := ole.Say("ox9abc jo43")
		h.settle()
		if got := answerTo(t, ole, line); !strings.Contains(got.Text, "OX9ABC JO43") {
			t.Errorf("the second phone's echo is %q", got.Text)
		}
		if all := strings.Join(texts(theirs(boss)), "\n"); !strings.Contains(all, "OX9ABC JO43") {
			t.Errorf("the operator is shown %q", all)
		}
		own := boss.Say("ox9abd jo43")
		h.settle()
		if got := answerTo(t, boss, own); !strings.Contains(got.Text, "OX9ABD JO43") {
			t.Errorf("the operator's echo is %q", got.Text)
		}
		if all := strings.Join(texts(theirs(ole)), "\n"); !strings.Contains(all, "OX9ABD JO43") {
			t.Errorf("the second phone is shown %q", all)
		}
		ole.Edit(line, "ox9abc jo44")
		h.settle()
		if got := answerTo(t, ole, line); !strings.Contains(got.Text, "OX9ABC JO44") {
			t.Errorf("after an edit the echo is %q", got.Text)
		}
		h.asked(boss, "/second off")
		if all := texts(theirs(ole)); !strings.Contains(all[len(all)-1], "since") {
			t.Errorf("at the end the second phone is told %q", all[len(all)-1])
		}
		before := len(theirs(boss))
		if got := h.asked(ole, "ox9abe jo43"); !turnedAway(got) {
			t.Errorf("after the end the second phone is told %q", got)
		}
		if len(theirs(boss)) != before || len(h.messages("8")) != 0 {
			t.Error("a line after the end went on")
		}
	})
}
