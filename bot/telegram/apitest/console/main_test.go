package main

import (
	"bytes"
	"strings"
	"testing"

	"skyslate/bot/telegram/apitest"
)

func TestFollow(t *testing.T) {
	phone := apitest.New(token).Phone(7, "Inga")
	for _, line := range []string{"hello", "~ place 53.5,7", "~ edit 1 hello there", "~ reply 1 and more", ""} {
		if _, err := follow(phone, line); err != nil {
			t.Errorf("%q: %v", line, err)
		}
	}
	for _, line := range []string{"~ edit 9 x", "~ edit x", "~ tap 1 none", "~ place here", "~ fly 1"} {
		if _, err := follow(phone, line); err == nil {
			t.Errorf("%q is followed", line)
		}
	}
	chat := phone.Chat()
	if len(chat) != 3 || chat[0].Text != "hello there" || chat[1].Location == nil || chat[2].ReplyTo == nil {
		t.Errorf("the chat is %+v", chat)
	}
}

func TestLoopbackOnly(t *testing.T) {
	for _, listen := range []string{"0.0.0.0:0", ":0", "example.invalid:80", "x"} {
		if err := converse(listen, strings.NewReader(""), &bytes.Buffer{}); err == nil {
			t.Errorf("listens on %s", listen)
		}
	}
	var out bytes.Buffer
	if err := converse("127.0.0.1:0", strings.NewReader("hello\n"), &out); err != nil || !strings.Contains(out.String(), "-api http://127.0.0.1:") {
		t.Errorf("%v\n%s", err, &out)
	}
}
