package telegram

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"

	tg "github.com/go-telegram/bot"

	"skyslate/bot/event"
	"skyslate/bot/fetch"
	"skyslate/storage"
)

// getDocument fetches a document: see [fetch.Config].
func (t *Transport) getDocument(ctx context.Context, w fetch.Wanted) (doc event.Document, err error) {
	file, err := t.bot.GetFile(ctx, &tg.GetFileParams{FileID: w.File})
	switch out := outcomeOf(err); {
	case out.disposition == again:
		return doc, out.err
	case out.disposition != done:
		return doc, fmt.Errorf("%w: %s", fetch.ErrGone, t.token.mask(out.err.Error()))
	case strings.HasPrefix(file.FilePath, "/"):
		return doc, fmt.Errorf("%w: this Bot API server keeps files on its own disk; run it without --local", fetch.ErrGone)
	}
	if u, ok := readUpdate(w.Update); ok && u.Message != nil && u.Message.Document != nil {
		doc.Name = u.Message.Document.Name
	}
	doc.Size, err = t.download(ctx, file.FilePath, w.Raw)
	return doc, err
}

// encodeDocument is a message with its document, if it can be had.
func encodeDocument(w fetch.Wanted, doc *event.Document) (storage.Raw, error) {
	r := received{Update: w.Update, File: doc}
	if doc == nil {
		r.Lost = event.LostGone
	}
	return r.encode(w.Raw, w.At)
}

// download puts a file's bytes into the document of an event, a piece at a time.
// Its address holds the token.
func (t *Transport) download(ctx context.Context, path, id string) (size int64, err error) {
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, t.api+"/file/bot"+t.token.secret+"/"+path, nil)
	if err != nil {
		return 0, t.token.maskError(err)
	}
	resp, err := t.polls.other.Do(req)
	if err != nil {
		return 0, t.token.maskError(err)
	}
	defer resp.Body.Close()
	switch {
	case resp.StatusCode == http.StatusNotFound:
		return 0, fmt.Errorf("%w: it is gone", fetch.ErrGone)
	case resp.StatusCode != http.StatusOK:
		return 0, fmt.Errorf("the service answers with HTTP status %d", resp.StatusCode)
	}
	size, err = t.desk.KeepDocument(id, resp.Body, event.MaxDocument)
	switch {
	case errors.Is(err, storage.ErrTooLarge):
		return 0, fmt.Errorf("%w: it is larger than it said", fetch.ErrGone)
	case err != nil:
		return 0, t.token.maskError(err)
	}
	return size, nil
}
