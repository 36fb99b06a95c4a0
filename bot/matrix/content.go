package matrix

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"html"
	"image/png"
	"net/http"
	"strings"

	"maunium.net/go/mautrix"
	"maunium.net/go/mautrix/id"

	"skyslate/bot"
	skyevent "skyslate/bot/event"
	"skyslate/bot/fetch"
	"skyslate/bot/piece"
	"skyslate/storage"
)

// maxText is the longest text of a message, in code points: an event may have 65,536
// bytes, and an edit with a style holds it four times.
const maxText = 4000

// textOf is a post's text with its buttons below.
func textOf(o bot.Outgoing) piece.Text {
	return piece.Text{Text: numbered(o.Text, o.Buttons), Spans: o.Spans}
}

// message is a text as the protocol takes it. A notice makes no sound.
func message(text piece.Text, silent bool) map[string]any {
	content := map[string]any{"msgtype": "m.text", "body": text.Text}
	if silent {
		content["msgtype"] = "m.notice"
	}
	style(content, text)
	return content
}

// style adds how a text is shown, if anything of it has a style.
func style(content map[string]any, text piece.Text) {
	if len(text.Spans) > 0 {
		content["format"], content["formatted_body"] = "org.matrix.custom.html", markup(text)
	}
}

// markup is a text as HTML; what a person typed is no markup.
func markup(text piece.Text) string {
	var b strings.Builder
	plain := func(s string) { b.WriteString(strings.ReplaceAll(html.EscapeString(s), "\n", "<br>")) }
	at := 0
	for _, s := range text.Spans {
		between := text.Text[at:s.Start]
		at = s.End
		switch s.Style {
		case storage.Bold:
			plain(between)
			b.WriteString("<strong>")
			plain(text.Text[s.Start:s.End])
			b.WriteString("</strong>")
		case storage.Table: // it stands in lines of its own
			plain(strings.TrimSuffix(between, "\n"))
			b.WriteString("<pre><code>" + html.EscapeString(text.Text[s.Start:s.End]) + "</code></pre>")
			if strings.HasPrefix(text.Text[at:], "\n") {
				at++
			}
		default:
			plain(between)
			plain(text.Text[s.Start:s.End])
		}
	}
	plain(text.Text[at:])
	return b.String()
}

func replyTo(content map[string]any, name string) {
	if named(name) {
		content["m.relates_to"] = map[string]any{"m.in_reply_to": map[string]any{"event_id": name}}
	}
}

func reaction(name, sign string) map[string]any {
	return map[string]any{"m.relates_to": map[string]any{"rel_type": "m.annotation", "event_id": name, "key": sign}}
}

// file sends a picture so that the chat shows it, and any other file as it is.
func (t *Transport) file(ctx context.Context, roomID string, o bot.Outgoing) (name string, refused *refusal) {
	uploading, cancel := context.WithTimeout(ctx, uploadFor)
	defer cancel()
	kind := http.DetectContentType(o.Body)
	up, err := t.client.UploadBytesWithName(uploading, o.Body, kind, o.FileName)
	if refused := t.refusalOf(err); refused != nil {
		return "", refused
	}
	info := map[string]any{"size": len(o.Body), "mimetype": kind}
	content := attachment(o, "m.file", o.FileName, up.ContentURI.String())
	if picture, err := png.DecodeConfig(bytes.NewReader(o.Body)); err == nil {
		content["msgtype"], info["w"], info["h"] = "m.image", picture.Width, picture.Height
	}
	content["info"] = info
	return t.attach(ctx, roomID, content, o)
}

// voice gives a voice message back by the server's own reference to it.
func (t *Transport) voice(ctx context.Context, roomID string, o bot.Outgoing) (name string, refused *refusal) {
	content := attachment(o, "m.audio", "voice", o.Voice)
	content["org.matrix.msc3245.voice"] = map[string]any{}
	return t.attach(ctx, roomID, content, o)
}

// attachment is what is shown with a text below.
func attachment(o bot.Outgoing, msgtype, fileName, uri string) map[string]any {
	caption := textOf(o).Shorten(maxText)
	content := map[string]any{"msgtype": msgtype, "filename": fileName, "url": uri, "body": caption.Text}
	if caption.Text == "" {
		content["body"] = fileName
	}
	style(content, caption)
	replyTo(content, o.ReplyTo)
	return content
}

func (t *Transport) attach(
	ctx context.Context, roomID string, content map[string]any, o bot.Outgoing,
) (name string, refused *refusal) {
	if name, refused = t.put(ctx, roomID, typeMessage, content, o, 0); refused == nil {
		t.seed(roomID, name, len(flat(o.Buttons)))
	}
	return name, refused
}

// getDocument fetches a document: see [fetch.Config].
func (t *Transport) getDocument(ctx context.Context, w fetch.Wanted) (doc skyevent.Document, err error) {
	uri, err := id.ParseContentURI(w.File)
	if err != nil || uri.IsEmpty() {
		return doc, fmt.Errorf("%w: its address is none", fetch.ErrGone)
	}
	resp, err := t.download(ctx, uri)
	if err != nil {
		return doc, err
	}
	defer resp.Body.Close()
	h, _ := readHappening(w.Update)
	doc.Name = h.content.text("filename")
	if doc.Name == "" {
		doc.Name = h.content.text("body")
	}
	doc.Size, err = t.desk.KeepDocument(w.Raw, resp.Body, skyevent.MaxDocument)
	if errors.Is(err, storage.ErrTooLarge) {
		err = fmt.Errorf("%w: it is larger than it said", fetch.ErrGone)
	}
	return doc, err
}

// download begins to read a file; older servers give it at an older address.
func (t *Transport) download(ctx context.Context, uri id.ContentURI) (*http.Response, error) {
	resp, err := t.client.Download(ctx, uri)
	if refused := t.refusalOf(err); refused != nil && refused.code != "" && refused.fate != 0 {
		_, resp, err = t.client.MakeFullRequestWithResp(ctx, mautrix.FullRequest{
			Method: http.MethodGet, DontReadResponse: true,
			URL: t.client.BuildURL(mautrix.MediaURLPath{"v3", "download", uri.Homeserver, uri.FileID}),
		})
	}
	switch refused := t.refusalOf(err); {
	case refused == nil:
		return resp, nil
	case refused.code == mautrix.MNotFound.ErrCode:
		return nil, fmt.Errorf("%w: it is gone", fetch.ErrGone)
	default:
		return nil, refused.err
	}
}

// encodeDocument is a message with its document, if it can be had.
func encodeDocument(w fetch.Wanted, doc *skyevent.Document) (storage.Raw, error) {
	r := received{Event: w.Update, File: doc}
	if doc == nil {
		r.Lost = skyevent.LostGone
	}
	h, _ := readHappening(w.Update)
	return r.encode(w.Operator, h, w.At)
}
