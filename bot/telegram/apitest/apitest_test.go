package apitest

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"
)

const token = "42:apitest_token-0123456789"

// client is the real one.
func client(t *testing.T, url string, through http.RoundTripper) *tg.Bot {
	t.Helper()
	b, err := tg.New(token, tg.WithSkipGetMe(), tg.WithServerURL(url),
		tg.WithHTTPClient(time.Minute, &http.Client{
			Transport:     through,
			CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
		}))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// onBothFaces runs a test with the real client over loopback and in simulated
// time.
func onBothFaces(t *testing.T, test func(t *testing.T, s *Server, b *tg.Bot)) {
	t.Run("loopback", func(t *testing.T) {
		s := New(token)
		web := httptest.NewServer(s)
		t.Cleanup(web.Close)
		// The client as it is can't send again on another connection when the one
		// that it kept turns out to be closed.
		test(t, s, client(t, web.URL, &http.Transport{DisableKeepAlives: true}))
	})
	t.Run("simulated", func(t *testing.T) {
		synctest.Test(t, func(t *testing.T) {
			s := New(token)
			test(t, s, client(t, "http://service.invalid", s))
		})
	})
}

func TestConversation(t *testing.T) {
	onBothFaces(t, func(t *testing.T, s *Server, b *tg.Bot) {
		ctx := t.Context()
		me, err := b.GetMe(ctx)
		if err != nil || me.Username != s.Name {
			t.Fatalf("getMe: %+v, %v", me, err)
		}
		p := s.Phone(7, "Inga")
		if _, err := b.SendMessage(ctx, &tg.SendMessageParams{ChatID: 7, Text: "hello"}); err == nil {
			t.Error("the bot may write to somebody who has not written first")
		}
		asked := p.Say("ox9qzt jo33")
		sent, err := b.SendMessage(ctx, &tg.SendMessageParams{
			ChatID: 7, Text: "1  OX9QZT JO33", DisableNotification: true,
			ReplyParameters: &models.ReplyParameters{MessageID: int(asked), AllowSendingWithoutReply: true},
			ReplyMarkup: &models.InlineKeyboardMarkup{InlineKeyboard: [][]models.InlineKeyboardButton{{
				{Text: "Drop it", CallbackData: "drop:1"},
			}}},
		})
		if err != nil || sent.ID != int(asked)+1 {
			t.Fatalf("sendMessage: %+v, %v", sent, err)
		}
		_, err = b.SetMessageReaction(ctx, &tg.SetMessageReactionParams{ChatID: 7, MessageID: int(asked), Reaction: reaction("✍")})
		if err != nil {
			t.Error(err)
		}
		body := []byte("<EOH>")
		_, err = b.SendDocument(ctx, &tg.SendDocumentParams{
			ChatID: 7, Document: &models.InputFileUpload{Filename: "a \"log\".adi", Data: bytes.NewReader(body)}, Caption: "1 contact",
		})
		if err != nil {
			t.Error(err)
		}
		_, err = b.EditMessageText(ctx, &tg.EditMessageTextParams{ChatID: 7, MessageID: sent.ID, Text: "1  dropped"})
		if err != nil {
			t.Error(err)
		}
		all := p.Chat()
		if len(all) != 3 || all[0].Reaction != "✍" || all[1].Text != "1  dropped" || !all[1].Silent || all[1].Buttons() != nil ||
			all[1].ReplyTo.ID != asked || !bytes.Equal(all[2].Body, body) || all[2].Caption != "1 contact" || all[2].Silent {
			t.Errorf("the chat is %+v", all)
		}
	})
}

func reaction(sign string) []models.ReactionType {
	return []models.ReactionType{{Type: models.ReactionTypeTypeEmoji, ReactionTypeEmoji: &models.ReactionTypeEmoji{Emoji: sign}}}
}

// The real server's refusals, as the client's callers see them.
func TestLimits(t *testing.T) {
	onBothFaces(t, func(t *testing.T, s *Server, b *tg.Bot) {
		s.Unpaced = true
		p := s.Phone(7, "Inga")
		mine := int(p.Say("/start"))
		send := func(change func(*tg.SendMessageParams)) error {
			m := tg.SendMessageParams{ChatID: 7, Text: "x"}
			change(&m)
			_, err := b.SendMessage(t.Context(), &m)
			return err
		}
		button := func(b models.InlineKeyboardButton) models.ReplyMarkup {
			return &models.InlineKeyboardMarkup{InlineKeyboard: [][]models.InlineKeyboardButton{{b}}}
		}
		document := func(body []byte, caption string) error {
			_, err := b.SendDocument(t.Context(), &tg.SendDocumentParams{
				ChatID: 7, Document: &models.InputFileUpload{Filename: "f", Data: bytes.NewReader(body)}, Caption: caption,
			})
			return err
		}
		edit := func(id int, text string) error {
			_, err := b.EditMessageText(t.Context(), &tg.EditMessageTextParams{ChatID: 7, MessageID: id, Text: text})
			return err
		}
		react := func(id int, sign string) error {
			_, err := b.SetMessageReaction(t.Context(), &tg.SetMessageReactionParams{ChatID: 7, MessageID: id, Reaction: reaction(sign)})
			return err
		}
		kept, err := b.SendMessage(t.Context(), &tg.SendMessageParams{ChatID: 7, Text: "same"})
		if err != nil {
			t.Fatal(err)
		}
		withKeys, err := b.SendMessage(t.Context(), &tg.SendMessageParams{
			ChatID: 7, Text: "where?", ReplyMarkup: &models.ReplyKeyboardMarkup{Keyboard: [][]models.KeyboardButton{{{Text: "here", RequestLocation: true}}}},
		})
		if err != nil {
			t.Fatal(err)
		}
		for _, tt := range []struct {
			name string
			err  error
			want string // "": goes through
		}{
			{"longest", send(func(m *tg.SendMessageParams) { m.Text = strings.Repeat("é", 4096) }), ""},
			{"too long", send(func(m *tg.SendMessageParams) { m.Text = strings.Repeat("x", 4097) }), "message is too long"},
			{"no text", send(func(m *tg.SendMessageParams) { m.Text = "" }), "message text is empty"},
			{"styles", send(func(m *tg.SendMessageParams) {
				m.Text, m.Entities = "𝄞 x", []models.MessageEntity{{Type: "bold", Length: 2}, {Type: "pre", Offset: 2, Length: 2}}
			}), ""},
			{"a style beyond the text", send(func(m *tg.SendMessageParams) {
				m.Entities = []models.MessageEntity{{Type: "bold", Offset: 1, Length: 1}}
			}), "ENTITY_BOUNDS_INVALID"},
			{"markup", send(func(m *tg.SendMessageParams) { m.ParseMode = models.ParseModeHTML }), "parse_mode"},
			{"no chat", send(func(m *tg.SendMessageParams) { m.ChatID = 8 }), "chat not found"},
			{"no original", send(func(m *tg.SendMessageParams) { m.ReplyParameters = &models.ReplyParameters{MessageID: 99} }), "message to be replied not found"},
			{"original not needed", send(func(m *tg.SendMessageParams) {
				m.ReplyParameters = &models.ReplyParameters{MessageID: 99, AllowSendingWithoutReply: true}
			}), ""},
			{"longest data", send(func(m *tg.SendMessageParams) {
				m.ReplyMarkup = button(models.InlineKeyboardButton{Text: "b", CallbackData: strings.Repeat("d", 64)})
			}), ""},
			{"too long data", send(func(m *tg.SendMessageParams) {
				m.ReplyMarkup = button(models.InlineKeyboardButton{Text: "b", CallbackData: strings.Repeat("é", 33)})
			}), "BUTTON_DATA_INVALID"},
			{"no data", send(func(m *tg.SendMessageParams) { m.ReplyMarkup = button(models.InlineKeyboardButton{Text: "b"}) }), "BUTTON_COPY_TEXT_INVALID"},
			{"empty file", document(nil, ""), "file must be non-empty"},
			{"long caption", document([]byte("x"), strings.Repeat("c", 1025)), "caption is too long"},
			{"same edit", edit(kept.ID, "same"), "message is not modified"},
			{"edit of nothing", edit(99, "x"), "message to edit not found"},
			{"edit of a person's", edit(mine, "x"), "message can't be edited"},
			{"edit with a keyboard", edit(withKeys.ID, "x"), "message can't be edited"},
			{"no such sign", react(mine, "✅"), "REACTION_INVALID"},
			{"sign on nothing", react(99, "👍"), "message to react not found"},
		} {
			if tt.want == "" && tt.err != nil || tt.want != "" && (tt.err == nil || !strings.Contains(tt.err.Error(), tt.want) || !errors.Is(tt.err, tg.ErrorBadRequest)) {
				t.Errorf("%s: got %v, want %q", tt.name, tt.err, tt.want)
			}
		}
		p.Block(true)
		if err := send(func(*tg.SendMessageParams) {}); !errors.Is(err, tg.ErrorForbidden) {
			t.Errorf("blocked: %v", err)
		}
	})
}

// poll asks once; what it returns is the ids.
func poll(t *testing.T, s *Server, offset int64, more ...string) (ids []int64, err error) {
	t.Helper()
	values := url.Values{"offset": {fmt.Sprint(offset)}}
	for i := 0; i < len(more); i += 2 {
		values.Set(more[i], more[i+1])
	}
	r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, "http://x.invalid/bot"+token+"/getUpdates", strings.NewReader(values.Encode()))
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	resp, err := s.RoundTrip(r)
	if err != nil {
		return nil, err
	}
	var reply struct {
		OK          bool
		Description string
		Result      []struct {
			ID int64 `json:"update_id"`
		}
	}
	body, err := io.ReadAll(resp.Body)
	if err != nil {
		return nil, err
	}
	if err := json.Unmarshal(body, &reply); err != nil {
		return nil, err
	}
	if !reply.OK {
		return nil, errors.New(reply.Description)
	}
	for _, u := range reply.Result {
		ids = append(ids, u.ID)
	}
	return ids, nil
}

func wantIDs(t *testing.T, what string, got []int64, err error, want ...int64) {
	t.Helper()
	if err != nil || fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("%s: got %v, %v, want %v", what, got, err, want)
	}
}

func TestPolls(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := New(token)
		s.last = 100
		p := s.Phone(7, "Inga")
		for i := range 3 {
			p.Say(fmt.Sprint(i))
		}
		got, err := poll(t, s, 0)
		wantIDs(t, "all", got, err, 101, 102, 103)
		got, err = poll(t, s, 102, "limit", "1")
		wantIDs(t, "confirmed on arrival", got, err, 102)
		if s.Pending() != 2 {
			t.Errorf("%d pending, want 2", s.Pending())
		}
		got, err = poll(t, s, 500)
		wantIDs(t, "far off: from the head", got, err, 102, 103)
		s.Redeliver(1)
		got, err = poll(t, s, 1)
		wantIDs(t, "redelivered", got, err, 101, 102, 103)

		start := time.Now()
		got, err = poll(t, s, 104, "timeout", "20")
		if wantIDs(t, "empty", got, err); time.Since(start) != 20*time.Second {
			t.Errorf("an empty poll took %s", time.Since(start))
		}
		start = time.Now()
		_, err = poll(t, s, 104, "timeout", "600")
		if time.Since(start) != longest || err != nil {
			t.Errorf("the longest poll took %s, %v", time.Since(start), err)
		}
		start = time.Now()
		_, _ = poll(t, s, 104)
		_, _ = poll(t, s, 104)
		if time.Since(start) < sameAgain {
			t.Errorf("two polls that ask the same took %s", time.Since(start))
		}

		s.Redraw(50)
		p.Say("after a quiet week")
		got, err = poll(t, s, 104)
		wantIDs(t, "drawn lower", got, err, 50)
		got, err = poll(t, s, 51, "timeout", "5")
		wantIDs(t, "confirmed", got, err)

		p.Say("old")
		time.Sleep(25 * time.Hour)
		got, err = poll(t, s, 51, "timeout", "5")
		wantIDs(t, "older than a day", got, err)
	})
}

func TestSecondPollEndsFirst(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := New(token)
		first := make(chan error, 1)
		go func() {
			_, err := poll(t, s, 1, "timeout", "50")
			first <- err
		}()
		synctest.Wait()
		if _, err := poll(t, s, 1, "timeout", "5"); err != nil {
			t.Error(err)
		}
		if err := <-first; err == nil || !strings.Contains(err.Error(), "terminated by other getUpdates") {
			t.Errorf("the first poll got %v", err)
		}
		if s.conflict != 1 {
			t.Errorf("%d conflicts", s.conflict)
		}
	})
}

func TestAllowedUpdatesStay(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := New(token)
		s.last = 100
		p := s.Phone(7, "Inga")
		_, _ = poll(t, s, 1, "timeout", "1", "allowed_updates", `["message"]`)
		m := p.Say("x")
		p.Edit(m, "y")
		got, err := poll(t, s, 1, "timeout", "3")
		wantIDs(t, "messages only", got, err, 101)
	})
}

func TestRate(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := New(token)
		b := client(t, "http://service.invalid", s)
		s.Phone(7, "Inga").Say("/start")
		var many *tg.TooManyRequestsError
		sent := 0
		for range 2 * burst {
			if _, err := b.SendMessage(t.Context(), &tg.SendMessageParams{ChatID: 7, Text: "x"}); errors.As(err, &many) {
				break
			}
			sent++
		}
		if sent != burst || many == nil || many.RetryAfter != 1 {
			t.Fatalf("%d sent, then %+v", sent, many)
		}
		time.Sleep(time.Second)
		if _, err := b.SendMessage(t.Context(), &tg.SendMessageParams{ChatID: 7, Text: "x"}); err != nil {
			t.Error(err)
		}
	})
}

func TestFaults(t *testing.T) {
	onBothFaces(t, func(t *testing.T, s *Server, b *tg.Bot) {
		s.Unpaced = true
		p := s.Phone(7, "Inga")
		p.Say("/start")
		send := func() error {
			ctx, cancel := context.WithTimeout(t.Context(), 300*time.Millisecond)
			defer cancel()
			_, err := b.SendMessage(ctx, &tg.SendMessageParams{ChatID: 7, Text: "x"})
			return err
		}
		for _, tt := range []struct {
			name  string
			fault Fault
			want  string // in the error; "": none
			out   bool   // the message is out all the same
		}{
			{"429", Fault{Code: 429, RetryAfter: 17}, "retry_after 17", false},
			{"502 page", Fault{Code: 502, HTML: true}, "<html>", false},
			{"500", Fault{Code: 500}, "Internal Server Error: restart", false},
			{"migrated", Fault{Code: 400, Description: "Bad Request: group chat was upgraded to a supergroup chat", MigrateTo: -1001}, "migrate_to_chat_id -1001", false},
			{"reset", Fault{Reset: true}, "reset", false},
			{"reset after", Fault{Reset: true, After: true}, "reset", true},
			{"cut after", Fault{Cut: true, After: true}, "unexpected EOF", true},
			{"hang", Fault{Hang: true}, "deadline exceeded", false},
			{"refused after", Fault{Code: 502, HTML: true, After: true}, "<html>", true},
			{"redirect", Fault{Code: 302}, "error", false},
			{"closed", Fault{CloseAfter: true}, "", true},
			{"slow", Fault{Slow: 10 * time.Millisecond}, "", true},
		} {
			before := len(p.Chat())
			s.Fail("sendMessage", 0, 1, tt.fault)
			err := send()
			if tt.want == "" && err != nil || tt.want != "" && (err == nil || !strings.Contains(err.Error(), tt.want)) {
				t.Errorf("%s: got %v, want %q", tt.name, err, tt.want)
			}
			if out := len(p.Chat()) > before; out != tt.out {
				t.Errorf("%s: the message is out: %t, want %t", tt.name, out, tt.out)
			}
		}
		s.Fail("sendMessage", 1, 2, Fault{Code: 500})
		if a, b, c, d := send(), send(), send(), send(); a != nil || b == nil || c == nil || d != nil {
			t.Errorf("the second and third should fail: %v, %v, %v, %v", a, b, c, d)
		}
	})
}

func TestAddresses(t *testing.T) {
	s := New(token)
	web := httptest.NewServer(s)
	defer web.Close()
	for _, tt := range []struct {
		path string
		want int
	}{
		{"/bot" + token + "/GETME", 200},
		{"/bot" + token + "/test/getMe", 200},
		{"/bot" + token + "/noSuchMethod", 404},
		{"/bot43:wrong/getMe", 401},
		{"/", 404},
		{"/file/bot" + token + "/documents/none", 404},
		{"/file/bot43:wrong/documents/none", 401},
	} {
		resp, err := http.Get(web.URL + tt.path) //nolint:noctx // a test
		if err != nil {
			t.Fatal(err)
		}
		_ = resp.Body.Close()
		if resp.StatusCode != tt.want {
			t.Errorf("%s: %d, want %d", tt.path, resp.StatusCode, tt.want)
		}
	}
}
