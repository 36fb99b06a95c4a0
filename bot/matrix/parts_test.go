package matrix

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"skyslate/bot"
	"skyslate/bot/event"
	"skyslate/bot/piece"
	"skyslate/storage"
	"skyslate/storage/storagetest"
)

func TestParseToken(t *testing.T) {
	const secret = "syt_invented_0123456789"
	token, err := ParseToken(" " + secret + "\n")
	if err != nil || !token.IsValid() {
		t.Fatal(err)
	}
	for _, shown := range []string{token.String(), fmt.Sprintf("%v %+v %#v", token, token, token), token.mask("at " + secret)} {
		if strings.Contains(shown, secret) {
			t.Errorf("the token shows: %q", shown)
		}
	}
	for _, bad := range []string{"", "short", "two words of it", "<html>"} {
		if _, err := ParseToken(bad); err == nil {
			t.Errorf("%q is taken for a token", bad)
		}
	}
}

func TestServes(t *testing.T) {
	for op, want := range map[storage.OperatorID]bool{
		"@inga:birds.invalid": true, "@inga:birds.invalid:8448": true, "@i/n=g+a-:birds.invalid": true,
		"7": false, "@inga": false, "@:birds.invalid": false, "@inga:": false, "inga:birds.invalid": false,
		"@in ga:birds.invalid": false, "@inga:birds\x00": false, "": false,
		storage.OperatorID("@" + strings.Repeat("i", 255) + ":birds.invalid"): false,
	} {
		if got := Serves(op); got != want {
			t.Errorf("%q: %t", op, got)
		}
	}
}

func TestMarkup(t *testing.T) {
	text := "head <1>\na  b\nc  d\ntail & all"
	spans := []storage.Span{{Start: 0, End: 8, Style: storage.Bold}, {Start: 9, End: 18, Style: storage.Table}, {Start: 19, End: 23, Style: "unknown"}}
	want := "<strong>head &lt;1&gt;</strong><pre><code>a  b\nc  d</code></pre>tail &amp; all"
	if got := markup(piece.Text{Text: text, Spans: spans}); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func TestSigns(t *testing.T) {
	for i := range mostSigns {
		for _, key := range []string{sign(i), strings.ReplaceAll(sign(i), "\ufe0f", "")} {
			if got, ok := signed(key); !ok || got != i {
				t.Errorf("%q is %d, %t, want %d", key, got, ok, i)
			}
		}
	}
	for _, key := range []string{"", "1", "👍", sign(10)} {
		if i, ok := signed(key); ok {
			t.Errorf("%q is the sign of %d", key, i)
		}
	}
}

// A key tells a post from each other one, also from a later one of the same name.
func TestKeys(t *testing.T) {
	at := time.Date(2027, 5, 23, 10, 45, 35, 0, time.UTC)
	o := bot.Outgoing{Name: "@i:b/ack/1", Made: at, Op: storage.Send, Text: "text"}
	keys := map[string]bool{keyOf(o, 0): true}
	for _, change := range []func(*bot.Outgoing){
		func(o *bot.Outgoing) { o.Name += "2" },
		func(o *bot.Outgoing) { o.Made = at.Add(time.Millisecond) },
		func(o *bot.Outgoing) { o.Text += "." },
		func(o *bot.Outgoing) { o.Op, o.Edits = storage.Edit, "$1" },
	} {
		other := o
		change(&other)
		keys[keyOf(other, 0)] = true
	}
	keys[keyOf(o, 1)] = true
	if len(keys) != 6 || !keys[keyOf(o, 0)] {
		t.Errorf("%d different keys", len(keys))
	}
}

const inga storage.OperatorID = "@inga:birds.invalid"

// decoded is what an event comes to in a store that holds a post of ours, $post, with two
// buttons, and a message of Inga's, $said.
func decoded(t *testing.T, raws ...string) (events []event.Event, errs []error) {
	t.Helper()
	store := storagetest.Open(t)
	at := time.Date(2027, 5, 23, 10, 45, 35, 0, time.UTC)
	check := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	check(store.Accept(nil, storage.Raw{ID: "mx/$said", From: inga, At: at, Name: "$said"}))
	post := storage.Post{
		Name: string(inga) + "/ask", Operator: inga, Made: at, Op: storage.Send, Text: "which?",
		Buttons: [][]storage.Button{{{Label: "a", Data: "A"}}, {{Label: "b", Data: "B"}}},
	}
	check(store.Commit("mx/$said", at, storage.Changes{Posts: []storage.Post{post}}))
	check(store.Settle(post.Name, "$post", at))
	for i, text := range raws {
		text = strings.ReplaceAll(text, "{at}", fmt.Sprint(at.Add(time.Minute).UnixMilli()))
		h, _ := readHappening(json.RawMessage(text))
		raw, err := received{Event: json.RawMessage(text)}.encode(inga, h, at.Add(time.Hour))
		check(err)
		raw.ID += fmt.Sprint("/", i)
		check(store.Accept(nil, raw))
		check(store.View(func(v *storage.View) error {
			e, err := Decode(v, raw)
			events, errs = append(events, e), append(errs, err)
			return nil
		}))
	}
	return events, errs
}

// said is an event of Inga's with that content.
func said(content string) string {
	return `{"event_id":"$new","type":"m.room.message","sender":"@inga:birds.invalid","origin_server_ts":{at},"content":` + content + `}`
}

func tap(content string) string {
	return strings.Replace(said(content), "m.room.message", "m.reaction", 1)
}

func TestDecode(t *testing.T) {
	for name, tt := range map[string]struct {
		event, want string // kind, and what is with it
	}{
		"text":   {said(`{"msgtype":"m.text","body":"hx7abc jo33"}`), "said hx7abc jo33"},
		"reply":  {said(`{"msgtype":"m.text","body":"> <@b:c> which?\n> \n\nthat","m.relates_to":{"m.in_reply_to":{"event_id":"$post"}}}`), "said that, answers"},
		"thread": {said(`{"msgtype":"m.text","body":"x","m.relates_to":{"rel_type":"m.thread","is_falling_back":true,"m.in_reply_to":{"event_id":"$post"}}}`), "said x"},
		"edit":   {said(`{"msgtype":"m.text","body":"* new","m.new_content":{"body":"new"},"m.relates_to":{"rel_type":"m.replace","event_id":"$said"}}`), "edited new"},
		"edit of ours": {
			said(`{"msgtype":"m.text","body":"* new","m.new_content":{"body":"new"},"m.relates_to":{"rel_type":"m.replace","event_id":"$post"}}`), "",
		},
		"number":          {said(`{"msgtype":"m.text","body":" 2 "}`), "tapped B"},
		"number, replied": {said(`{"msgtype":"m.text","body":"1","m.relates_to":{"m.in_reply_to":{"event_id":"$post"}}}`), "tapped A"},
		"too great":       {said(`{"msgtype":"m.text","body":"3"}`), "said 3"},
		"number, to own":  {said(`{"msgtype":"m.text","body":"1","m.relates_to":{"m.in_reply_to":{"event_id":"$said"}}}`), "said 1, answers"},
		"tap":             {tap(`{"m.relates_to":{"event_id":"$post","key":"2⃣"}}`), "tapped B"},
		"tap elsewhere":   {tap(`{"m.relates_to":{"event_id":"$said","key":"1⃣"}}`), ""},
		"another sign":    {tap(`{"m.relates_to":{"event_id":"$post","key":"👍"}}`), ""},
		"too high a sign": {tap(`{"m.relates_to":{"event_id":"$post","key":"3⃣"}}`), ""},
		"taken back":      {tap(`{}`), ""},
		"place":           {said(`{"msgtype":"m.location","body":"x","geo_uri":"geo:53.5,-7.25;u=12"}`), "placed 53.5 -7.25 12"},
		"no place":        {said(`{"msgtype":"m.location","geo_uri":"geo:nowhere"}`), "error"},
		"voice":           {said(`{"msgtype":"m.audio","body":"a.ogg","url":"mxc://b/v","info":{"duration":3500}}`), "spoken 3.5s mxc://b/v"},
		"picture":         {said(`{"msgtype":"m.image","body":"p.png"}`), "other"},
		"below a picture": {said(`{"msgtype":"m.image","body":"hx7abc jo33","filename":"p.png"}`), "said hx7abc jo33"},
		"body a list":     {said(`{"msgtype":"m.text","body":["x"]}`), "other"},
		"relates a word":  {said(`{"msgtype":"m.text","body":"x","m.relates_to":"x"}`), "said x"},
		"size a word":     {said(`{"msgtype":"m.file","body":"f","info":{"size":"much"}}`), "handed"},
		"stamp a word":    {strings.Replace(said(`{"msgtype":"m.text","body":"x"}`), "{at}", `"x"`, 1), "said x, late"},
		"content 5":       {said("5"), "error"},
		"sender 5":        {strings.Replace(said(`{"body":"x"}`), `"@inga:birds.invalid"`, "5", 1), "error"},
		"type 5":          {strings.Replace(said(`{"body":"x"}`), `"m.room.message"`, "5", 1), "error"},
		"5":               {"5", "error"},
		"null":            {"null", "error"},
	} {
		t.Run(name, func(t *testing.T) {
			events, errs := decoded(t, tt.event)
			e := events[0]
			got := string(e.Kind)
			switch e.Kind {
			case event.Said, event.Edited:
				got += " " + e.Text
				if e.ReplyTo != 0 {
					got += ", answers"
				}
				if e.At.Minute() != 46 {
					got += ", late"
				}
			case event.Tapped:
				got += " " + e.Data
			case event.Placed:
				got += fmt.Sprintf(" %g %g %g", e.Spot.LatDeg, e.Spot.LonDeg, e.Spot.AccuracyM)
			case event.Spoken:
				got += fmt.Sprint(" ", e.Length, " ", e.Voice)
			}
			if errs[0] != nil {
				got = "error"
			}
			if got != tt.want || e.Operator != inga {
				t.Errorf("got %q of %q (%v), want %q", got, e.Operator, errs[0], tt.want)
			}
		})
	}
}

// FuzzDecode: whatever comes in is decoded or refused, and belongs to its operator.
func FuzzDecode(f *testing.F) {
	f.Add(said(`{"msgtype":"m.text","body":"x"}`))
	f.Add(tap(`{"m.relates_to":{"event_id":"$post","key":"1⃣"}}`))
	f.Add(said(`{"msgtype":"m.location","geo_uri":"geo:1,2;u=x"}`))
	f.Add("null")
	store := storagetest.Open(f)
	f.Fuzz(func(t *testing.T, text string) {
		if !json.Valid([]byte(text)) {
			t.Skip()
		}
		h, _ := readHappening(json.RawMessage(text))
		raw, err := received{Event: json.RawMessage(text)}.encode(inga, h, time.Unix(1e9, 0))
		if err != nil {
			t.Fatal(err)
		}
		err = store.View(func(v *storage.View) error {
			if e, _ := Decode(v, raw); e.Operator != inga {
				t.Errorf("it is of %q", e.Operator)
			}
			return nil
		})
		if err != nil {
			t.Error(err)
		}
	})
}

// What was sent and has not come back is noticed, once enough time has gone.
func TestUnheard(t *testing.T) {
	w := newWayOut()
	w.ended("post", "$sent", nil)
	soon, late := time.Now(), time.Now().Add(heardWithin+time.Second)
	if w.unheard(soon) || !w.unheard(late) {
		t.Errorf("soon: %t, late: %t", w.unheard(soon), w.unheard(late))
	}
	if w.hear([]string{"$other"}, false); !w.unheard(late) {
		t.Error("another event is taken for it")
	}
	if w.hear([]string{"$sent"}, false); w.unheard(late) {
		t.Error("it came back and is missed")
	}
}
