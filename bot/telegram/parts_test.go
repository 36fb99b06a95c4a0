package telegram

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/png"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf16"
	"unicode/utf8"

	tg "github.com/go-telegram/bot"

	"skyslate/bot"
	"skyslate/bot/event"
	"skyslate/bot/piece"
	"skyslate/bot/run"
	"skyslate/bot/sky"
	"skyslate/bot/telegram/apitest"
	"skyslate/storage"
	"skyslate/storage/storagetest"
)

func TestParseToken(t *testing.T) {
	for _, s := range []string{"42:abc", " 42:AB_c-9\n"} {
		tok, err := ParseToken(s)
		if err != nil || !tok.IsValid() || fmt.Sprint(tok) != "42:***" || fmt.Sprintf("%#v", tok) != "42:***" {
			t.Errorf("%q: %v, %v", s, tok, err)
		}
	}
	for _, s := range []string{"", "42", "42:", ":abc", "42:a b", "42:abc\nx", "https://x/42:abc"} {
		tok, err := ParseToken(s)
		if err == nil || tok.IsValid() || s != "" && strings.Contains(err.Error(), s) {
			t.Errorf("%q: %v, %v", s, tok, err)
		}
	}
}

func TestMask(t *testing.T) {
	text := "Post \"https://api.example/bot42:" + secret + "/x\": " + secret
	if got := testToken.mask(text); strings.Contains(got, secret) || !strings.Contains(got, "42:***") {
		t.Errorf("masked: %s", got)
	}
	err := testToken.maskError(fmt.Errorf("a %s: %w", secret, context.Canceled))
	if errors.Is(err, context.Canceled) || strings.Contains(err.Error(), secret) {
		t.Errorf("masked: %v", err)
	}
}

// Whatever the text, its parts fit and hold all of it.
func FuzzSplit(f *testing.F) {
	f.Add("one\ntwo\nthree", 5)
	f.Add("", 3)
	f.Add("\n\n\n", 1)
	f.Add(strings.Repeat("é", 40), 7)
	f.Add("a\n"+strings.Repeat("b", 20), 4)
	f.Add("𝄞 rises – in 3 min\n𝄞 one\n𝄞 🛰 two°", 12)
	f.Fuzz(func(t *testing.T, text string, most int) {
		if most < 1 || most > 5000 || !utf8.ValidString(text) {
			t.Skip()
		}
		var spans []storage.Span
		if i := strings.IndexByte(text, '\n'); i > 0 {
			spans = []storage.Span{{Start: 0, End: i, Style: storage.Bold}}
		}
		if i := strings.LastIndexByte(text, '\n'); i > 0 && i+1 < len(text) {
			spans = append(spans, storage.Span{Start: i + 1, End: len(text), Style: storage.Table})
		}
		whole := func(s string) string { return strings.ReplaceAll(s, "\n", "") }
		var got, styled string
		for _, p := range (piece.Text{Text: text, Spans: spans}).Split(most) {
			if utf8.RuneCountInString(p.Text) > most {
				t.Errorf("%q is longer than %d", p.Text, most)
			}
			got += p.Text
			for i, e := range entities(p) {
				part := string(utf16.Decode(utf16.Encode([]rune(p.Text))[e.Offset : e.Offset+e.Length]))
				if want := p.Text[p.Spans[i].Start:p.Spans[i].End]; part != want {
					t.Errorf("the service shows %q, want %q", part, want)
				}
				styled += part
			}
		}
		if whole(got) != whole(text) {
			t.Errorf("%q in parts is %q", text, got)
		}
		var want strings.Builder
		for _, s := range spans {
			want.WriteString(text[s.Start:s.End])
		}
		if whole(styled) != whole(want.String()) {
			t.Errorf("%q has in a style %q, want %q", text, styled, want.String())
		}
	})
}

func TestInlineRows(t *testing.T) {
	b := func(labels ...string) (row []storage.Button) {
		for _, l := range labels {
			row = append(row, storage.Button{Label: l, Data: "d"})
		}
		return row
	}
	for _, tt := range []struct {
		rows [][]storage.Button
		want string
	}{
		{nil, "[]"},
		{[][]storage.Button{b("OX9QZT JO33"), b("OX9QZI JO33"), b("Drop it")}, "[[OX9QZT JO33 OX9QZI JO33] [Drop it]]"},
		{[][]storage.Button{b("a label that is long"), b("a"), b("b")}, "[[a label that is long] [a b]]"},
		{[][]storage.Button{b("a"), b("a label that is long"), b("b")}, "[[a] [a label that is long] [b]]"},
		{[][]storage.Button{b("a", "b", "c"), b("d"), b(), b("e")}, "[[a b c] [d e]]"},
	} {
		got := [][]string{}
		for _, row := range inlineRows(tt.rows) {
			var labels []string
			for _, x := range row {
				labels = append(labels, x.Text)
			}
			got = append(got, labels)
		}
		if fmt.Sprint(got) != tt.want {
			t.Errorf("got %v, want %s", got, tt.want)
		}
	}
}

// However sends come, no second has more of them than the rates allow.
func TestPace(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	p := newPace()
	now := time.Date(2026, 11, 24, 0, 0, 0, 0, time.UTC)
	sent := map[int64][]time.Time{}
	var all []time.Time
	for range 3000 {
		now = now.Add(time.Duration(rng.IntN(60)) * time.Millisecond)
		chat := int64(rng.IntN(40))
		others, own := p.book(now, chat)
		at := now.Add(max(others, own))
		sent[chat] = append(sent[chat], at)
		all = append(all, at)
	}
	slices.SortFunc(all, time.Time.Compare)
	if worst := densest(all, 10*time.Second); worst > 30*10 {
		t.Errorf("%d sends in ten seconds overall", worst)
	}
	for chat, times := range sent {
		if worst := densest(times, time.Minute); worst > 60 {
			t.Errorf("chat %d: %d sends in a minute", chat, worst)
		}
	}
	if n := len(p.chats); n > 40 {
		t.Errorf("%d chats remembered", n)
	}
}

func densest(times []time.Time, window time.Duration) (most int) {
	first := 0
	for i := range times {
		for times[i].Sub(times[first]) >= window {
			first++
		}
		most = max(most, i-first+1)
	}
	return most
}

func TestOutcomeOf(t *testing.T) {
	for _, tt := range []struct {
		err  error
		want disposition
	}{
		{nil, done},
		{fmt.Errorf("x: %w", &tg.TooManyRequestsError{RetryAfter: 3}), again},
		{&tg.MigrateError{MigrateToChatID: -1}, hopeless},
		{fmt.Errorf("%w, bot was blocked by the user", tg.ErrorForbidden), blocked},
		{fmt.Errorf("%w, Unauthorized", tg.ErrorUnauthorized), lost},
		{fmt.Errorf("%w, Not Found", tg.ErrorNotFound), again},
		{fmt.Errorf("%w, Conflict", tg.ErrorConflict), again},
		{fmt.Errorf("%w, Bad Request: message is not modified: x", tg.ErrorBadRequest), done},
		{fmt.Errorf("%w, Bad Request: query is too old and response timeout expired", tg.ErrorBadRequest), done},
		{fmt.Errorf("%w, Bad Request: message to edit not found", tg.ErrorBadRequest), otherwise},
		{fmt.Errorf("%w, Bad Request: REACTION_INVALID", tg.ErrorBadRequest), otherwise},
		{fmt.Errorf("%w, Bad Request: chat not found", tg.ErrorBadRequest), hopeless},
		{errors.New("error response from telegram for method sendDocument, 413 Request Entity Too Large"), hopeless},
		{errors.New("error response from telegram for method sendMessage, 500 Internal Server Error: restart"), again},
		{errors.New("unexpected EOF"), again},
	} {
		if got := outcomeOf(tt.err); got.disposition != tt.want || got.disposition != done && got.err == nil {
			t.Errorf("%v: %v, want %v", tt.err, got, tt.want)
		}
	}
	if got := outcomeOf(&tg.TooManyRequestsError{RetryAfter: 17}); got.after != 17*time.Second {
		t.Errorf("429: %+v", got)
	}
}

// sending calls Send directly, with the loops at rest.
func sending(t *testing.T, test func(t *testing.T, h *house, p *apitest.Phone)) {
	t.Helper()
	inHouse(t, open, func(t *testing.T, h *house) {
		p := h.server.Phone(7, "Inga")
		p.Say("a message without a set-up") // m1
		h.settle()
		test(t, h, p)
	})
}

func TestLongText(t *testing.T) {
	sending(t, func(t *testing.T, h *house, p *apitest.Phone) {
		before := len(theirs(p))
		line := strings.Repeat("x", 99) + "\n"
		o := bot.Outgoing{
			Name: "n", Operator: "7", Op: storage.Send, Text: strings.Repeat(line, 100), ReplyTo: "1", Silent: false,
			Buttons: [][]storage.Button{{{Label: "b", Data: "d"}}},
		}
		h.server.Fail("sendMessage", 1, 1, apitest.Fault{Code: 500})
		if _, err := h.app.Send(t.Context(), o, func() {}); err == nil {
			t.Fatal("the second part got through")
		}
		id, err := h.app.Send(t.Context(), o, func() {})
		if err != nil {
			t.Fatal(err)
		}
		got := theirs(p)[before:]
		if len(got) != 3 || fmt.Sprint(got[2].ID) != id || got[0].ReplyTo == nil || got[1].ReplyTo != nil ||
			got[0].Inline != nil || got[2].Inline == nil || got[0].Silent || !got[1].Silent {
			t.Errorf("%d parts: %+v", len(got), got)
		}
		if whole := strings.Join(texts(got), "\n"); strings.TrimSpace(whole) != strings.TrimSpace(o.Text) {
			t.Error("the parts are not the whole")
		}
	})
}

func TestEditOfWhatIsGone(t *testing.T) {
	sending(t, func(t *testing.T, h *house, p *apitest.Phone) {
		id, err := h.app.Send(t.Context(), bot.Outgoing{Name: "n", Operator: "7", Text: "1  OX9ABC JO33"}, func() {})
		if err != nil {
			t.Fatal(err)
		}
		edit := bot.Outgoing{Name: "n/edit", Operator: "7", Op: storage.Edit, Edits: id, Text: "1  OX9ABD JO33"}
		for range 2 { // the second changes nothing, which is no error
			if _, err := h.app.Send(t.Context(), edit, func() {}); err != nil {
				t.Error(err)
			}
		}
		p.Delete(int64(numbered(id)))
		if _, err := h.app.Send(t.Context(), edit, func() {}); err != nil {
			t.Error(err)
		}
		got := theirs(p)
		if last := got[len(got)-1]; last.Text != edit.Text || fmt.Sprint(last.ID) == id || !last.Silent {
			t.Errorf("after the message is gone: %+v", last)
		}
	})
}

// What has a style is an entity of the service's, counted in its units, in a text, in
// the edit of one and in a caption. A text that stays the same but for its style is an
// edit.
func TestStyles(t *testing.T) {
	sending(t, func(t *testing.T, h *house, p *apitest.Phone) {
		o := bot.Outgoing{
			Name: "n", Operator: "7", Text: "𝄞 rises\n65° WSW–E\n72° W\nplain",
			Spans: []storage.Span{{Start: 0, End: 10, Style: storage.Bold}, {Start: 11, End: 30, Style: storage.Table}},
		}
		check := func(bold, table string) {
			t.Helper()
			m := theirs(p)[len(theirs(p))-1]
			if got, table := fmt.Sprint(m.Shown("bold"), m.Shown("pre")), fmt.Sprint([]string{bold}, []string{table}); got != table {
				t.Errorf("shown as %s, want %s", got, table)
			}
		}
		send := func(o bot.Outgoing) string {
			t.Helper()
			id, err := h.app.Send(t.Context(), o, func() {})
			if err != nil {
				t.Fatal(err)
			}
			return id
		}
		id := send(o)
		check("𝄞 rises", "65° WSW–E\n72° W")
		edit := o
		edit.Op, edit.Edits, edit.Spans = storage.Edit, id, []storage.Span{o.Spans[0], {Start: 11, End: 23, Style: storage.Table}}
		send(edit)
		check("𝄞 rises", "65° WSW–E")
		o.Op, o.FileName, o.Body = storage.File, "f.ics", []byte("x")
		send(o)
		check("𝄞 rises", "65° WSW–E\n72° W")
	})
}

func TestSignRefused(t *testing.T) {
	sending(t, func(t *testing.T, h *house, p *apitest.Phone) {
		if _, err := h.app.Send(t.Context(), bot.Outgoing{Name: "s", Operator: "7", Op: storage.React, ReplyTo: "1", Text: "✅"}, func() {}); err != nil {
			t.Error(err)
		}
		got := theirs(p)
		if last := got[len(got)-1]; last.Text != "✅" || last.ReplyTo == nil || last.ReplyTo.ID != 1 || !last.Silent {
			t.Errorf("where the sign is refused: %+v", last)
		}
		if _, err := h.app.Send(t.Context(), bot.Outgoing{Name: "s", Operator: "7", Op: storage.React, ReplyTo: "999", Text: "👍"}, func() {}); !dropped(err) {
			t.Errorf("a sign on nothing: %v", err)
		}
	})
}

func dropped(err error) bool {
	var e *run.SendError
	return errors.As(err, &e) && (e.Fate == run.Never || e.Fate == run.Unwanted)
}

// A recording is given back as one; where the service doesn't know it any more,
// what there is to say of it comes as a text.
func TestVoiceGivenBack(t *testing.T) {
	sending(t, func(t *testing.T, h *house, p *apitest.Phone) {
		for ref, want := range map[string]string{"voice": "sendVoice", "forgotten": "sendMessage"} {
			o := bot.Outgoing{Name: ref, Operator: "7", Op: storage.Send, Voice: ref, Text: "1 of 1", Silent: true}
			if _, err := h.app.Send(t.Context(), o, func() {}); err != nil {
				t.Fatal(err)
			}
			deeds := p.Deeds()
			if last := deeds[len(deeds)-1]; last.Method != want || last.Message.Text+last.Message.Caption != "1 of 1" {
				t.Errorf("%s: the last deed is %+v, want %s", ref, last, want)
			}
		}
	})
}

// A file is whole however often it is tried.
func TestFileIsWholeAtEachTry(t *testing.T) {
	sending(t, func(t *testing.T, h *house, p *apitest.Phone) {
		body := []byte(strings.Repeat("<CALL:6>OX9ABC<EOR>\n", 5000))
		o := bot.Outgoing{Name: "f", Operator: "7", Op: storage.File, FileName: "log.adi", Body: body, Text: strings.Repeat("caption ", 200), ReplyTo: "1", Silent: true}
		for _, f := range []apitest.Fault{{Code: 429, RetryAfter: 2}, {Cut: true, After: true}, {Reset: true}} {
			h.server.Fail("sendDocument", 0, 1, f)
			if _, err := h.app.Send(t.Context(), o, func() {}); err == nil || dropped(err) {
				t.Errorf("%+v: %v", f, err)
			}
		}
		if _, err := h.app.Send(t.Context(), o, func() {}); err != nil {
			t.Error(err)
		}
		n := 0
		for _, m := range theirs(p) {
			if m.Document == nil {
				continue
			}
			n++
			if string(m.Body) != string(body) || utf8.RuneCountInString(m.Caption) > 1024 || m.Document.Name != "log.adi" {
				t.Errorf("document of %d bytes, named %q", len(m.Body), m.Document.Name)
			}
		}
		if n != 2 {
			t.Errorf("%d documents, want the one whose answer was lost and the last", n)
		}
		time.Sleep(time.Minute) // until it is the chat's turn again
		if _, err := h.app.Send(t.Context(), bot.Outgoing{Name: "e", Operator: "7", Op: storage.File, FileName: "e", Body: nil}, func() {}); !dropped(err) {
			t.Errorf("an empty file: %v", err)
		}
	})
}

// A picture is shown in the chat; what can't be shown still comes, as a document.
func TestPictureIsShown(t *testing.T) {
	sending(t, func(t *testing.T, h *house, p *apitest.Phone) {
		var good bytes.Buffer
		if err := png.Encode(&good, image.NewGray(image.Rect(0, 0, 108, 150))); err != nil {
			t.Fatal(err)
		}
		o := bot.Outgoing{Name: "s", Operator: "7", Op: storage.File, FileName: "sky.png", Body: good.Bytes(), Text: "the pass", ReplyTo: "1", Silent: true}
		h.server.Fail("sendPhoto", 0, 1, apitest.Fault{Code: 429, RetryAfter: 2})
		if _, err := h.app.Send(t.Context(), o, func() {}); err == nil || dropped(err) {
			t.Errorf("told to wait: %v", err)
		}
		id, err := h.app.Send(t.Context(), o, func() {})
		broken := o
		broken.Body = []byte("not a picture")
		id2, err2 := h.app.Send(t.Context(), broken, func() {})
		all := theirs(p)
		all = all[max(0, len(all)-2):]
		if err != nil || err2 != nil || len(all) != 2 || fmt.Sprint(all[0].ID) != id || fmt.Sprint(all[1].ID) != id2 {
			t.Fatalf("%d messages, %v, %v", len(all), err, err2)
		}
		if m := all[0]; len(m.Photo) != 1 || !bytes.Equal(m.Body, good.Bytes()) || m.Caption != "the pass" || !m.Silent {
			t.Errorf("the picture: %+v", m)
		}
		if m := all[1]; m.Document == nil || string(m.Body) != "not a picture" || m.Caption != "the pass" {
			t.Errorf("what is none: %+v", m)
		}
	})
}

func TestUnreachableOperators(t *testing.T) {
	inHouse(t, config{allow: []storage.OperatorID{"7"}}, func(t *testing.T, h *house) {
		for _, op := range []storage.OperatorID{"local", "8"} {
			if _, err := h.app.Send(t.Context(), bot.Outgoing{Operator: op, Text: "x"}, func() {}); !dropped(err) {
				t.Errorf("to %s: %v", op, err)
			}
		}
		if _, err := h.app.Send(t.Context(), bot.Outgoing{Operator: "7", Text: "x"}, func() {}); !dropped(err) {
			t.Errorf("to somebody who never wrote: %v", err)
		}
	})
}

// What is forwarded says so, changed too, and whatever it is; forward_origin is of the
// Bot API's Message (core.telegram.org/bots/api#message).
func TestDecodeForwarded(t *testing.T) {
	const rest = `"from":{"id":7},"chat":{"id":7},"date":3,"forward_origin":{"type":"hidden_user","date":1}}}`
	for update, want := range map[string]event.Kind{
		`{"update_id":1,"message":{"message_id":2,"text":"x",` + rest:                           event.Said,
		`{"update_id":1,"edited_message":{"message_id":2,"text":"x","edit_date":4,` + rest:      event.Edited,
		`{"update_id":1,"message":{"message_id":2,"document":{"file_id":"f"},` + rest:           event.Handed,
		`{"update_id":1,"message":{"message_id":2,"voice":{"file_id":"v","duration":3},` + rest: event.Spoken,
	} {
		raw, err := received{Update: []byte(update)}.encode("tg/1", time.Unix(9, 0))
		if err != nil {
			t.Fatal(err)
		}
		if e, err := Decode(nil, raw); err != nil || e.Kind != want || !e.Forwarded {
			t.Errorf("%s becomes %+v, %v", update, e, err)
		}
	}
}

// An update in any shape is decoded or refused, and says whose it is.
func FuzzDecode(f *testing.F) {
	f.Add(`{"update_id":1,"message":{"message_id":2,"from":{"id":7},"chat":{"id":7,"type":"private"},"date":3,"text":"x"}}`)
	f.Add(`{"update_id":1,"edited_message":{"message_id":2,"from":{"id":7},"chat":{"id":7},"date":3,"edit_date":4,"location":{"latitude":1,"longitude":2}}}`)
	f.Add(`{"update_id":1,"callback_query":{"id":"1","from":{"id":7},"message":{"chat":{"id":7},"message_id":9,"date":0},"data":"u:1"}}`)
	f.Add(`{"update_id":1,"message":{"message_id":"two"}}`)
	f.Add(`{"update_id":1,"message":{"message_id":"two","from":{"id":7},"chat":{"id":7},"date":3}}`)
	f.Add(`{"update_id":1,"hologram":{}}`)
	f.Add(`null`)
	f.Fuzz(func(t *testing.T, text string) {
		raw, err := received{Update: []byte(text)}.encode("tg/1", time.Unix(9, 0))
		if err != nil {
			t.Skip() // no JSON
		}
		e, err := Decode(nil, raw)
		if err == nil && (e.ID != "tg/1" || e.Operator == "" || e.Kind == "" || e.At.IsZero()) {
			t.Errorf("%s becomes %+v", text, e)
		}
		if err != nil && !reflect.DeepEqual(e, event.Event{Operator: e.Operator}) {
			t.Errorf("%s is refused and yet becomes %+v", text, e)
		}
	})
}

func TestDamagedMemory(t *testing.T) {
	for _, key := range []string{MemoryKey, underFetch + "tg/1"} {
		store := storagetest.Open(t)
		desk := bot.New(bot.Config{Store: store, Sky: sky.New(nil, nil)})
		if err := desk.Accept(map[string][]byte{MemoryKey: []byte("{}"), key: []byte("{")}); err != nil {
			t.Fatal(err)
		}
		if _, err := readMemory(desk); err == nil {
			t.Errorf("a damaged %s is read", key)
		}
	}
}
