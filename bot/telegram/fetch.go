package telegram

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"time"

	tg "github.com/go-telegram/bot"

	"skyslate/bot/event"
	"skyslate/bot/guests"
	"skyslate/storage"
)

const (
	fetchPause = 30 * time.Second
	fetchFor   = 24 * time.Hour // then it is given up
)

// errNoFile is a document that can't be had.
var errNoFile = errors.New("the file can't be had")

// fetchLoop fetches documents that came in, one after the other; each then
// comes into the inbox as if it had just come in whole.
func (t *Transport) fetchLoop(ctx context.Context) {
	for ctx.Err() == nil {
		var retry <-chan time.Time
		if left := t.fetchAll(ctx); left {
			retry = time.After(fetchPause)
		}
		select {
		case <-t.fetching:
		case <-retry:
		case <-ctx.Done():
		}
	}
}

// fetchAll fetches what it can and reports whether something is left.
func (t *Transport) fetchAll(ctx context.Context) (left bool) {
	for _, f := range t.remembered().fetches {
		doc, err := t.fetchOne(ctx, f)
		if err != nil && !errors.Is(err, errNoFile) && t.now().Sub(f.At) < fetchFor {
			t.log.Debug("a document could not be fetched; it is tried again", "err", err)
			left = true
			continue
		}
		if err != nil {
			t.log.Warn("a document can't be fetched", "err", err)
		}
		if err := t.fetched(f, doc); err != nil {
			t.log.Warn("a document could not be stored; it is tried again", "err", err)
			left = true
		}
	}
	return left
}

// inFlight is the fetch of which it is the turn.
type inFlight struct {
	raw    string
	cancel context.CancelFunc
}

// fetchOne fetches a document that is still wanted, unless it is called off
// meanwhile.
func (t *Transport) fetchOne(ctx context.Context, f fetch) (*event.Document, error) {
	ctx, cancel := context.WithTimeout(ctx, uploadFor)
	defer cancel()
	t.mu.Lock()
	wanted := t.mem.awaits(f.Raw) && t.guests.Admits(f.operator)
	t.inFlight = inFlight{f.Raw, cancel}
	t.mu.Unlock()
	if !wanted {
		return nil, errNoFile
	}
	file, err := t.bot.GetFile(ctx, &tg.GetFileParams{FileID: f.File})
	switch out := outcomeOf(err); {
	case out.disposition == again:
		return nil, out.err
	case out.disposition != done:
		return nil, fmt.Errorf("%w: %s", errNoFile, t.token.mask(out.err.Error()))
	case strings.HasPrefix(file.FilePath, "/"):
		return nil, fmt.Errorf("%w: this Bot API server keeps files on its own disk; run it without --local", errNoFile)
	}
	doc := new(event.Document)
	if u, ok := readUpdate(f.Update); ok && u.Message != nil && u.Message.Document != nil {
		doc.Name = u.Message.Document.Name
	}
	if doc.Size, err = t.download(ctx, file.FilePath, f.Raw); err != nil {
		return nil, err
	}
	return doc, nil
}

// fetched puts a document into the inbox if it is still wanted; nil if it can't be
// had.
func (t *Transport) fetched(f fetch, doc *event.Document) error {
	r := received{Update: f.Update, File: doc}
	if doc == nil {
		r.Lost = event.LostGone
	}
	raw, err := r.encode(f.Raw, f.At)
	if err != nil {
		return err
	}
	var wanted bool
	err = t.keep(func(m *memory, d *guests.Draft) []storage.Raw {
		wanted = m.awaits(f.Raw) && d.Admits(f.operator)
		m.drop(func(other fetch) bool { return other.Raw == f.Raw })
		if !wanted {
			return nil
		}
		return []storage.Raw{raw}
	})
	if err == nil && !wanted {
		err = t.desk.DropDocument(f.Raw)
	}
	return err
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
		return 0, fmt.Errorf("%w: it is gone", errNoFile)
	case resp.StatusCode != http.StatusOK:
		return 0, fmt.Errorf("the service answers with HTTP status %d", resp.StatusCode)
	}
	size, err = t.desk.KeepDocument(id, resp.Body, event.MaxDocument)
	switch {
	case errors.Is(err, storage.ErrTooLarge):
		return 0, fmt.Errorf("%w: it is larger than it said", errNoFile)
	case err != nil:
		return 0, t.token.maskError(err)
	}
	return size, nil
}
