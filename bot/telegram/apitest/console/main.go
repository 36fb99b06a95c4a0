// Command console is a phone at a terminal and the messaging service behind it,
// to try serve by hand without an account and without a network:
//
//	go run ./bot/telegram/apitest/console
//
// It says how to start the bot against it. A line is a message to the bot; as in
// skyslate chat some lines begin with ~:
//
//	~ place LAT,LON      shares a location
//	~ edit N TEXT        changes message N, the operator's
//	~ reply N TEXT       answers message N, either side's
//	~ tap N LABEL        taps a button under message N
//
// Everything is in memory and gone at the end.
package main

import (
	"bufio"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"skyslate/bot/telegram/apitest"
)

// token is no secret: the service is on loopback and knows one bot.
const token = "42:invented_token_for_the_console"

func main() {
	listen := flag.String("listen", "127.0.0.1:8081", "`ADDRESS` on loopback that the service listens on")
	flag.Parse()
	if err := converse(*listen, os.Stdin, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "console:", err)
		os.Exit(1)
	}
}

func converse(listen string, in io.Reader, out io.Writer) error {
	host, _, err := net.SplitHostPort(listen)
	if ip := net.ParseIP(host); err != nil || ip == nil || !ip.IsLoopback() {
		return fmt.Errorf("-listen %q: expected an address on loopback, as 127.0.0.1:8081", listen)
	}
	l, err := net.Listen("tcp", listen)
	if err != nil {
		return err
	}
	service := apitest.New(token)
	web := &http.Server{Handler: service, ReadHeaderTimeout: time.Minute}
	go func() { _ = web.Serve(l) }() // it ends with the program
	defer web.Close()
	fmt.Fprintf(out, "Start the bot in another terminal:\n  SKYSLATE_TOKEN=%s skyslate serve -api http://%s\n"+
		"Then type here. The end of input ends it all.\n\n", token, l.Addr())

	phone := service.Phone(7, "Inga")
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	go show(ctx, phone, out)
	lines := bufio.NewScanner(in)
	for lines.Scan() {
		switch id, err := follow(phone, strings.TrimSpace(lines.Text())); {
		case err != nil:
			fmt.Fprintln(out, "!", err)
		case id != 0:
			fmt.Fprintln(out, "you", id)
		}
	}
	return lines.Err()
}

// show prints what the bot does, as it does it.
func show(ctx context.Context, phone *apitest.Phone, out io.Writer) {
	for shown := 0; ; {
		_, err := phone.Wait(ctx, func([]apitest.Message) bool { return len(phone.Deeds()) > shown })
		if err != nil {
			return
		}
		for _, d := range phone.Deeds()[shown:] {
			fmt.Fprintln(out, describe(d))
			shown++
		}
	}
}

func describe(d apitest.Deed) string {
	m := d.Message
	var b strings.Builder
	fmt.Fprintf(&b, "%s bot %d", m.At.UTC().Format(time.TimeOnly), m.ID)
	switch {
	case d.Method == "setMessageReaction":
		return fmt.Sprintf("bot marks %d: %s", m.ID, m.Reaction)
	case d.Method == "editMessageText":
		b.WriteString(" now reads")
	case m.ReplyTo != nil:
		fmt.Fprintf(&b, " to %d", m.ReplyTo.ID)
	}
	if !m.Silent {
		b.WriteString(" (rings)")
	}
	if m.Document != nil {
		b.WriteString(" file " + m.Document.Name)
	}
	b.WriteString(strings.ReplaceAll("\n"+m.Text+m.Caption, "\n", "\n    "))
	for _, row := range m.Buttons() {
		fmt.Fprintf(&b, "\n    [%s]", strings.Join(row, "] ["))
	}
	return b.String()
}

// follow does what a line says; id is the message that it made, 0 for none.
func follow(phone *apitest.Phone, line string) (id int64, err error) {
	rest, tilde := strings.CutPrefix(line, "~")
	switch {
	case line == "":
		return 0, nil
	case !tilde:
		return phone.Say(line), nil
	}
	verb, rest, _ := strings.Cut(strings.TrimSpace(rest), " ")
	if verb == "place" {
		var lat, lon float64
		if _, err := fmt.Sscanf(rest, "%f,%f", &lat, &lon); err != nil {
			return 0, errors.New("expected ~ place LAT,LON")
		}
		return phone.Place(lat, lon, 10, false), nil
	}
	about, text, _ := strings.Cut(rest, " ")
	n, err := strconv.ParseInt(about, 10, 64)
	if err != nil || !slices.ContainsFunc(phone.Chat(), func(m apitest.Message) bool { return m.ID == n }) {
		return 0, fmt.Errorf("expected the number of a message, found %q", about)
	}
	switch verb {
	case "edit":
		phone.Edit(n, text)
		return 0, nil
	case "reply":
		return phone.Reply(n, text), nil
	case "tap":
		return 0, phone.Tap(n, text)
	}
	return 0, errors.New("expected ~ place, ~ edit, ~ reply or ~ tap")
}
