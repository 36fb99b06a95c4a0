package telegram

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"skyslate/bot/telegram/apitest"
	"skyslate/storage"
)

// owned lets the owner in and returns their phone.
func (h *house) owned(id int64) *apitest.Phone {
	h.t.Helper()
	code, err := os.ReadFile(h.door.Awaits())
	if err != nil {
		h.t.Fatal(err)
	}
	boss := h.server.Phone(id, "Inga")
	boss.Say("/start " + string(code))
	h.settle()
	return boss
}

// asked says something and returns the last that is said about it.
func (h *house) asked(p *apitest.Phone, text string) string {
	h.t.Helper()
	before := len(theirs(p))
	p.Say(text)
	h.settle()
	all := theirs(p)
	if len(all) == before {
		return ""
	}
	return all[len(all)-1].Text
}

// invitation makes one and returns what a guest has to send.
func (h *house) invitation(boss *apitest.Phone) string {
	h.t.Helper()
	text := h.asked(boss, "/invite")
	link := text[strings.LastIndexByte(text, '\n')+1:] // right after a start without the bot's name
	payload := strings.TrimPrefix(link, "https://t.me/skyslate_test_bot?start=")
	if len(payload) != 26 {
		h.t.Fatalf("the invitation is %q", text)
	}
	return "/start " + payload
}

// Of what is said about who is let in, as far as tests need to know it.
const (
	toStrangers = "This is somebody's own logbook."
	toPutOut    = "You are not let in here any more."
	toGroups    = "A log is one person's"
	noneInvited = "Nobody is invited yet."
)

func isIn(text string) bool { return strings.Contains(text, "call sign") }

// turnedAway reports whether an answer is none, or the one to strangers.
func turnedAway(text string) bool { return text == "" || strings.HasPrefix(text, toStrangers) }

// holdsNot looks for texts in every byte of every file, but for backups.
func (h *house) holdsNot(words ...string) {
	h.t.Helper()
	err := filepath.WalkDir(h.dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		if filepath.Base(filepath.Dir(path)) == "backups" {
			return nil
		}
		body, err := os.ReadFile(path)
		for _, w := range words {
			if i := strings.Index(strings.ToLower(string(body)), strings.ToLower(w)); i >= 0 {
				h.t.Errorf("%s holds %q: …%q…", filepath.Base(path), w, body[max(0, i-80):min(len(body), i+80)])
			}
		}
		return err
	})
	if err != nil {
		h.t.Error(err)
	}
}

// From the code's file to a guest, and what a restart knows of it.
func TestAdmission(t *testing.T) {
	inHouse(t, config{owned: true, allow: []storage.OperatorID{"9"}}, func(t *testing.T, h *house) {
		text, err := os.ReadFile(h.door.Awaits())
		if err != nil {
			t.Fatal(err)
		}
		code := strings.TrimSpace(string(text))
		stray := h.server.Phone(8, "Ole")
		for range 3 {
			stray.Say("ox9abc jo33 a stranger's words")
			h.settle()
		}
		if got := texts(theirs(stray)); len(got) != 1 || !strings.HasPrefix(got[0], toStrangers) {
			t.Errorf("a stranger gets %q, want one sentence once", got)
		}
		if len(h.messages("8")) != 0 {
			t.Error("a stranger's words are stored")
		}
		boss := h.owned(7)
		if got := strings.Join(texts(theirs(boss)), "\n"); !strings.Contains(got, "this bot is yours") || !isIn(got) {
			t.Errorf("the owner gets %q", got)
		}
		if got := h.asked(stray, code); got != "" {
			t.Errorf("the code works twice: %q", got)
		}
		invitation := h.invitation(boss)
		if got := h.asked(boss, "/invite"); !strings.Contains(got, "\nhttps://t.me/skyslate_test_bot?start=") {
			t.Errorf("an invitation is %q", got)
		}
		if got := h.asked(stray, invitation); !isIn(got) {
			t.Errorf("an invited one gets %q", got)
		}
		if got := h.asked(h.server.Phone(10, "Siv"), invitation); !strings.HasPrefix(got, toStrangers) {
			t.Errorf("an invitation works twice: %q", got)
		}
		if got := h.asked(h.server.Phone(9, "Nils"), "/start"); !isIn(got) {
			t.Errorf("one of the list gets %q", got)
		}
		h.close()
		h.holdsNot(code, "a stranger's words")
		h.open()
		if got := h.asked(boss, "/help"); !strings.Contains(got, "/passes") {
			t.Errorf("after a restart the owner gets %q", got)
		}
		if strings.Contains(h.log.String(), "a stranger's words") || strings.Contains(h.log.String(), code) {
			t.Error("a message's text or the code is in the log")
		}
	})
}

// Whoever is put out hears it, and nothing of theirs is taken any more: no line,
// no document that is on its way.
func TestAttackPutOut(t *testing.T) {
	inHouse(t, config{owned: true}, func(t *testing.T, h *house) {
		boss := h.owned(7)
		guest := h.server.Phone(8, "Ole")
		used := h.invitation(boss)
		h.asked(guest, used)
		h.asked(guest, "hx7abc")
		h.asked(guest, "jo33")
		h.server.Fail("file", 0, 1, apitest.Fault{Drip: time.Minute})
		guest.Document("x.tle", make([]byte, 1000), "")
		time.Sleep(time.Second)
		if h.fetching() == "" || waiting(h.app) != 1 {
			t.Fatal("no document is being fetched")
		}
		if got := h.asked(boss, "/invite off 1"); !strings.HasPrefix(got, "HX7ABC is put out") {
			t.Errorf("putting a guest out: %q", got)
		}
		if got := texts(theirs(guest)); !strings.HasPrefix(got[len(got)-1], toPutOut) {
			t.Errorf("who is put out hears %q", got[len(got)-1])
		}
		if left := waiting(h.app); left != 0 {
			t.Errorf("still to be fetched: %v", left)
		}
		before := len(h.messages("8"))
		for _, text := range []string{"di4zab jo43", used} {
			if got := h.asked(guest, text); !turnedAway(got) {
				t.Errorf("%s gets %q", text, got)
			}
		}
		h.close()
		h.open()
		if got := h.asked(guest, "di4zab jo43"); got != "" {
			t.Errorf("after a restart who is put out gets %q", got)
		}
		if n := len(h.messages("8")); n != before {
			t.Errorf("%d messages of one who is put out are stored", n-before)
		}
		if got := h.asked(guest, h.invitation(boss)); got == "" || turnedAway(got) {
			t.Errorf("invited anew they get %q", got)
		}
	})
}

// A database of the form in which this memory held who is let in: everybody is
// in who was, nothing that was owed or on its way is lost, and of the old form
// nothing is left.
func TestOlderMemory(t *testing.T) {
	inHouse(t, config{owned: true}, func(t *testing.T, h *house) {
		older, err := os.ReadFile("../guests/testdata/older.json") // its owner is 70007, a document of 70009's is fetched
		if err != nil {
			t.Fatal(err)
		}
		guest := h.operator(70009)
		h.close()
		store, err := storage.Open(h.dir)
		if err != nil {
			t.Fatal(err)
		}
		err = errors.Join(store.Accept(map[string][]byte{MemoryKey: older}), store.Close(), os.Remove(filepath.Join(h.dir, "owner-code")))
		if err != nil {
			t.Fatal(err)
		}
		guest.Document("x.tle", []byte("nothing of use"), "") // file-1; the update itself is confirmed already
		h.server.Redraw(700000021)
		boss, late := h.server.Phone(70007, "Inga"), h.server.Phone(70012, "late")
		late.Say("hello once more")
		h.open()
		h.settle()
		if h.door.Awaits() != "" {
			t.Error("an owner is awaited")
		}
		if n := h.server.Calls("getFile"); n != 1 || waiting(h.app) != 0 || len(theirs(guest)) == 0 {
			t.Errorf("the document was fetched %d times and answered with %q", n, texts(theirs(guest)))
		}
		if got := texts(theirs(late)); len(got) != 1 || !strings.HasPrefix(got[0], toStrangers) {
			t.Errorf("a stranger who was owed a sentence gets %q", got)
		}
		if got := h.asked(boss, "/invite list"); !strings.Contains(got, "1  no. 70008, in since 1 Jan 2000") {
			t.Errorf("the owner's list: %q", got)
		}
		if got := h.asked(h.server.Phone(70013, "Nils"), "/start 4e6ggpqm7jlwypl2nzkvkhvrf7"); !isIn(got) {
			t.Errorf("the open invitation: %q", got)
		}
		kept, err := h.store.Kept(MemoryKey)
		for _, old := range []string{"owner", "members", "invited", "notices", "told", "gone", "used"} {
			if err != nil || strings.Contains(string(kept), `"`+old+`"`) {
				t.Errorf("%s is still kept here: %s, %v", old, kept, err)
			}
		}
		h.close()
		h.open()
		if got := h.asked(boss, "/invite list"); !strings.Contains(got, "2  no. 70013, in since") {
			t.Errorf("after a restart the owner's list: %q", got)
		}
	})
}

func TestGroup(t *testing.T) {
	inHouse(t, open, func(t *testing.T, h *house) {
		g := h.server.Phone(7, "Inga").Group(-100, "field day")
		g.Say("/help")
		g.Say("ox9abc jo33")
		h.settle()
		if got := texts(theirs(g)); len(got) != 1 || !strings.HasPrefix(got[0], toGroups) || !g.Left() {
			t.Errorf("a group gets %q; left: %t", got, g.Left())
		}
	})
}

func TestBlocked(t *testing.T) {
	inHouse(t, open, func(t *testing.T, h *house) {
		p := h.operator(7)
		h.server.Fail("sendMessage", 0, 1, apitest.Fault{Code: 403, Description: "Forbidden: bot was blocked by the user"})
		p.Say("/help")
		h.settle()
		if owed, err := h.desk.Owed(time.Now()); err != nil || len(owed) != 0 {
			t.Errorf("still owed: %v, %v", owed, err)
		}
		p.Block(true)
		h.settle()
		before := h.server.Calls("sendMessage")
		if err := h.desk.Accept(nil, received{Update: fmt.Appendf(nil, `{"message":{"message_id":77,"from":{"id":7},"chat":{"id":7,"type":"private"},"date":%d,"text":"/help"}}`, time.Now().Unix())}.raw(t)); err != nil {
			t.Fatal(err)
		}
		p2 := h.operator(8)
		p2.Say("/help") // wakes the worker
		h.settle()
		if n := h.server.Calls("sendMessage") - before; n != 1 {
			t.Errorf("%d calls, want the one for the other operator", n)
		}
		p.Block(false)
		m := p.Say("/help")
		h.settle()
		answerTo(t, p, m)
	})
}

func (r received) raw(t *testing.T) storage.Raw {
	t.Helper()
	raw, err := r.encode("tg/test", time.Now())
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

func TestUnknownTokenEnds(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := newHouse(t, open)
		h.server.Fail("getUpdates", 0, 9, apitest.Fault{Code: 401, Description: "Unauthorized"})
		time.Sleep(2 * time.Minute)
		if err := h.stop(); !errors.Is(err, errToken) {
			t.Errorf("Run ended with %v", err)
		}
		h.stop = func() error { return nil }
	})
}

func TestRival(t *testing.T) {
	inHouse(t, config{owned: true}, func(t *testing.T, h *house) {
		boss := h.owned(7)
		h.server.Fail("getUpdates", 0, 20, apitest.Fault{Code: 409, Description: "Conflict: terminated by other getUpdates request; make sure that only one bot instance is running"})
		time.Sleep(time.Hour)
		if n := strings.Count(strings.Join(texts(theirs(boss)), "\n"), textRival); n != 1 {
			t.Errorf("the owner was told %d times", n)
		}
		if n := strings.Count(h.log.String(), "another program polls"); n != 1 {
			t.Errorf("the log says it %d times", n)
		}
	})
}
