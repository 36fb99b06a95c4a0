package run

import (
	"bytes"
	"log/slog"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"skyslate/bot"
	"skyslate/storage"
)

// Once an hour one line says how busy the bot is.
func TestHourlyFigures(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var log bytes.Buffer
		h, a := newHouse(t, bot.Config{}), &app{}
		l, stop := running(t, h, a, slog.New(slog.NewTextHandler(&log, nil)))
		for n, op := range []storage.OperatorID{"7", "8", "7"} {
			if err := l.Accept(nil, said(t, op, int64(n+1), "/help")); err != nil {
				t.Fatal(err)
			}
		}
		time.Sleep(reportEvery + time.Minute)
		held := storage.Post{Name: "9/p", Operator: "9", Op: storage.Send, Text: "it waits"}
		if err := h.store.Commit("later", now(), storage.Changes{Posts: []storage.Post{held}}); err != nil {
			t.Fatal(err)
		}
		time.Sleep(reportEvery)
		if err := stop(); err != nil {
			t.Error(err)
		}
		var lines []string
		for line := range strings.Lines(log.String()) {
			if strings.Contains(line, "busy") {
				lines = append(lines, line)
			}
		}
		if len(lines) != 3 {
			t.Fatalf("%d lines in two hours and at the end:\n%s", len(lines), log.String())
		}
		// Three messages, and the moment at the start that has all operators planned anew.
		for i, wants := range [][]string{{"operators=2", "worked=4", "waiting=0", "due=0", "owed=0", "bytes="}, {"worked=0", "owed=1"}} {
			for _, want := range wants {
				if !strings.Contains(lines[i], want) {
					t.Errorf("no %s in %s", want, lines[i])
				}
			}
		}
	})
}
