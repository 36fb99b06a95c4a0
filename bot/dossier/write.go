package dossier

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"time"

	"skyslate/bot/sky"
	"skyslate/storage"
)

// Write writes the document of an operator.
func Write(w io.Writer, v *storage.View, op storage.Operator) error {
	out := &writer{to: bufio.NewWriter(w)}
	out.put(line{Skyslate: kind, Form: form})
	out.put(line{Settings: settingsOf(op)})
	own, err := sky.ReadOwn(v, op.ID)
	if err != nil {
		return err
	}
	if len(own.Sets)+len(own.Birds) > 0 {
		out.put(line{Sky: &own})
	}
	passes, err := v.Passes(op.ID, time.Time{}, time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC))
	if err != nil {
		return err
	}
	for _, p := range passes {
		p.Operator = ""
		out.put(line{Pass: &p})
	}
	for id := uint64(1); id < v.NextContact(op.ID); id++ {
		versions, err := v.History(op.ID, id)
		if err != nil {
			return err
		}
		for _, c := range versions {
			out.put(line{Contact: bare(c)})
		}
		if version, is := v.HandedOver(op.ID, id); is {
			out.put(line{Handed: &storage.ContactRef{ID: id, Version: version}})
		}
	}
	out.put(line{Lines: out.lines})
	if out.err != nil {
		return fmt.Errorf("the operator's document could not be written: %w", out.err)
	}
	return out.to.Flush()
}

// writer writes lines; its first error stays.
type writer struct {
	to    *bufio.Writer
	lines int
	err   error
}

func (w *writer) put(l line) {
	text, err := json.Marshal(l)
	if err == nil && w.err == nil {
		_, err = w.to.Write(append(text, '\n'))
	}
	if w.err == nil {
		w.err = err
	}
	w.lines++
}
