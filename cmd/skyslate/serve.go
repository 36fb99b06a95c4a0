package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/url"
	"os"
	"os/signal"
	"path/filepath"
	"strconv"
	"sync"
	"syscall"
	"time"

	"skyslate/bot"
	"skyslate/bot/apps"
	"skyslate/bot/beat"
	"skyslate/bot/guests"
	"skyslate/bot/matrix"
	loops "skyslate/bot/run" // run is a function here
	"skyslate/bot/sky"
	"skyslate/bot/supply"
	"skyslate/bot/telegram"
	"skyslate/parse"
	"skyslate/predict"
	"skyslate/storage"
)

const aboutServe = `The bot on Telegram, on Matrix, or on both. Tokens are read from the environment,
never from a command line: SKYSLATE_TOKEN, or the file that SKYSLATE_TOKEN_FILE
names, for Telegram; SKYSLATE_MATRIX_TOKEN, or the file that
SKYSLATE_MATRIX_TOKEN_FILE names, for Matrix, with -matrix and -matrix-owner.

On Telegram a code is written to a file in DIR at the first start, whose path is
printed: send it to the bot, and you are its owner. On Matrix the bot invites its
owner. SIGTERM and SIGINT end it; what is in hand gets a few seconds, and nothing
is lost.`

// variables are those of the environment that hold a token, or name the file that does.
type variables struct{ text, file string }

var (
	telegramVars = variables{"SKYSLATE_TOKEN", "SKYSLATE_TOKEN_FILE"}
	matrixVars   = variables{"SKYSLATE_MATRIX_TOKEN", "SKYSLATE_MATRIX_TOKEN_FILE"}
)

// serving is what the arguments of serve ask for.
type serving struct {
	data     string
	api      string
	elements words
	birds    []predict.Bird
	allow    []storage.OperatorID
	open     bool
	debug    string         // the address of the profiles; empty: none
	token    telegram.Token // not valid: not on Telegram

	matrix      string // the server; empty: not on Matrix
	matrixToken matrix.Token
	matrixOwner storage.OperatorID
}

func parseServe(args []string, std stdio) (q serving, err error) {
	fs := newFlags("serve", "[-elements URL-or-FILE] [more]", aboutServe)
	fs.StringVar(&q.data, "data", "skyslate-data", "`DIR`ectory of everything that is kept")
	fs.StringVar(&q.api, "api", "", "another Bot API server's `URL`, such as a local one")
	fs.Var(&q.elements, "elements", "element sets from a `FILE` or an http(s) address; addresses are fetched a few times a day (repeatable; "+supply.DefaultAddress+" if there is none, and none with -api)")
	birdsFlag(fs, &q.birds)
	fs.StringVar(&q.matrix, "matrix", "", "the `URL` of the bot's Matrix server")
	fs.Func("matrix-owner", "whom the bot invites on Matrix as its owner, as `@NAME:SERVER`", func(s string) error {
		q.matrixOwner = storage.OperatorID(s)
		if !matrix.Serves(q.matrixOwner) {
			return errors.New("expected an address as @name:server.example")
		}
		return nil
	})
	fs.Func("allow", "people who are let in without an invitation, by their `ID`s, with commas between", func(s string) error {
		return eachPart(s, "the number of a person, as 123456789, or an address, as @name:server", func(part string) bool {
			op := storage.OperatorID(part)
			if id, err := strconv.ParseInt(part, 10, 64); err == nil && id > 0 {
				op = storage.OperatorID(strconv.FormatInt(id, 10))
			} else if !matrix.Serves(op) {
				return false
			}
			q.allow = append(q.allow, op)
			return true
		})
	})
	fs.BoolVar(&q.open, "open", false, "let everybody in")
	fs.Func("debug", "give profiles of the running program at an `ADDRESS` of this machine, as 127.0.0.1:6060", func(s string) (err error) {
		q.debug, err = parseDebug(s)
		return err
	})
	if err := parseFlags(fs, args, std); err != nil {
		return q, err
	}
	if q.data == "" {
		return q, usagef("-data is empty")
	}
	for _, address := range []struct{ flag, value string }{{"-api", q.api}, {"-matrix", q.matrix}} {
		u, err := url.Parse(address.value)
		if address.value != "" && (err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https") {
			return q, usagef("%s %q: expected an address that begins with http:// or https://", address.flag, address.value)
		}
	}
	if len(q.elements) == 0 && q.api == "" {
		q.elements = words{supply.DefaultAddress}
	}
	return q, q.readTokens()
}

// readTokens reads the tokens of the apps that are used; one is needed at least.
func (q *serving) readTokens() error {
	text, from, err := telegramVars.read()
	if err != nil {
		return err
	}
	if text != "" {
		if q.token, err = telegram.ParseToken(text); err != nil {
			return usagef("%s: %v", from, err)
		}
	}
	matrixText, from, err := matrixVars.read()
	switch {
	case err != nil:
		return err
	case matrixText == "" && (q.matrix != "" || q.matrixOwner != ""):
		return usagef("the bot's Matrix token is missing: put it into %s, or the name of the file that holds it into %s", matrixVars.text, matrixVars.file)
	case matrixText == "" && text == "":
		return usagef("the bot's token is missing: put it into %s, or the name of the file that holds it into %s (for Matrix: %s, %s)",
			telegramVars.text, telegramVars.file, matrixVars.text, matrixVars.file)
	case matrixText == "":
		return nil
	case q.matrix == "" || q.matrixOwner == "":
		return usagef("Matrix needs the address of the bot's server (-matrix) and its owner's (-matrix-owner)")
	}
	if q.matrixToken, err = matrix.ParseToken(matrixText); err != nil {
		return usagef("%s: %v", from, err)
	}
	return nil
}

// read reads a token, empty if none is set, and says where it comes from.
func (v variables) read() (text, from string, err error) {
	text, file := os.Getenv(v.text), os.Getenv(v.file)
	switch {
	case text != "" && file != "":
		return "", "", usagef("both %s and %s are set: which one is it?", v.text, v.file)
	case file == "":
		return text, v.text, nil
	}
	b, err := os.ReadFile(file)
	if err == nil && len(bytes.TrimSpace(b)) == 0 {
		err = errors.New("it is empty")
	}
	if err != nil {
		return "", "", fmt.Errorf("%s: %w", v.file, err)
	}
	return string(b), file, nil
}

func runServe(args []string, std stdio) error {
	// First of all: whoever ends it meanwhile is heard once it is up.
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop) // a second signal ends the process at once
	q, err := parseServe(args, std)
	if err != nil {
		return err
	}
	log := slog.New(slog.NewTextHandler(std.err, nil))
	for _, v := range []variables{telegramVars, matrixVars} {
		file := os.Getenv(v.file)
		if info, err := os.Stat(file); err == nil && info.Mode().Perm()&0o077 != 0 {
			log.Warn("others on this machine can read the token's file: chmod 600 it", "file", file, "mode", info.Mode().Perm())
		}
	}
	shareCores()
	go parse.Prepare() // else the first message waits for it
	store, err := storage.Open(q.data)
	if err != nil {
		return err
	}
	return errors.Join(q.serve(ctx, store, log, std), store.Close())
}

// decoders are those of all messaging apps, set up or not: what has come in from one
// is worked.
var decoders = apps.Decoders{telegram.Prefix: telegram.Decode, matrix.Prefix: matrix.Decode}

// serve runs the bot over an open store until ctx ends.
func (q serving) serve(ctx context.Context, store *storage.Store, log *slog.Logger, std stdio) error {
	tellNotices(store, log)
	shared := sky.New(q.birds, nil)
	desk := bot.New(bot.Config{Store: store, Sky: shared, Log: log, Decode: decoders.Decode, Version: version()})
	fresh, err := q.supply(shared, desk, log)
	if err != nil {
		return err
	}
	in := guests.Config{Desk: desk, Log: log, Allow: q.allow, Open: q.open, Older: telegram.MemoryKey}
	if q.token.IsValid() {
		in.CodeFile = filepath.Join(q.data, "owner-code")
	}
	if q.matrixOwner != "" {
		in.Owners = []storage.OperatorID{q.matrixOwner}
	}
	door, err := guests.New(in)
	if err != nil {
		return err
	}
	all, err := q.apps(desk, door, log)
	if err != nil {
		return err
	}
	q.greet(door, log, std)

	ctx, end := context.WithCancel(ctx)
	defer end()
	if q.debug != "" {
		if err := serveDebug(ctx, q.debug, log); err != nil {
			return err
		}
	}
	var others sync.WaitGroup
	others.Go(func() { fresh.Run(ctx) })
	others.Go(func() { keepHouse(ctx, store, q.data, log) })
	err = loops.New(desk, all, log).Run(ctx)
	end()
	others.Wait()
	log.Info("stopped")
	return err
}

// apps are the messaging apps, of which those that are set up have a transport.
func (q serving) apps(desk *bot.Desk, door *guests.Guests, log *slog.Logger) (*apps.All, error) {
	onTelegram := apps.App{Name: "Telegram", Serves: telegram.Serves}
	if q.token.IsValid() {
		app, err := telegram.New(telegram.Config{Token: q.token, Desk: desk, Guests: door, Log: log, API: q.api})
		if err != nil {
			return nil, err
		}
		onTelegram.Transport = app
	}
	onMatrix := apps.App{Name: "Matrix", Serves: matrix.Serves}
	if q.matrixToken.IsValid() {
		app, err := matrix.New(matrix.Config{
			Server: q.matrix, Token: q.matrixToken, Owner: q.matrixOwner, Desk: desk, Guests: door, Log: log,
		})
		if err != nil {
			return nil, err
		}
		onMatrix.Transport = app
	}
	return apps.Join(log, onTelegram, onMatrix), nil
}

// supply reads the elements that are at hand and prepares the fetching of
// fresher ones.
func (q serving) supply(shared *sky.Sky, desk *bot.Desk, log *slog.Logger) (*supply.Supply, error) {
	s, err := supply.New(supply.Config{
		Sources: q.elements, Dir: filepath.Join(q.data, "elements"), Log: log, Agent: "skyslate " + version(),
		Use: func(sets []predict.Elements, at time.Time) {
			shared.Replace(sets)
			if err := desk.Replan(at); err != nil {
				log.Error("passes could not be planned anew from fresh elements", "err", err)
			}
		},
	})
	if err != nil {
		return nil, usageError{err}
	}
	sets, err := s.Load(time.Now())
	if err != nil {
		return nil, err
	}
	shared.Replace(sets)
	if len(sets) == 0 {
		log.Warn("no elements yet: nothing can be predicted until some are fetched, or an operator sends a file of them")
	}
	return s, nil
}

// greet says on standard output what the one who starts the bot has to know.
func (q serving) greet(door *guests.Guests, log *slog.Logger, std stdio) {
	if path := door.Awaits(); path != "" {
		if whole, err := filepath.Abs(path); err == nil {
			path = whole
		}
		fmt.Fprintf(std.out, "Nobody owns this bot yet. Send it the code that stands in\n  %s\n", path)
	}
	if q.open {
		log.Warn("everybody is let in (-open)")
	}
	for flag, address := range map[string]string{"-api": q.api, "-matrix": q.matrix} {
		if u, err := url.Parse(address); err == nil && u.Scheme == "http" {
			host := u.Hostname()
			if ip := net.ParseIP(host); host != "localhost" && (ip == nil || !ip.IsLoopback()) {
				log.Warn("the token goes over the network in the clear: "+flag+" has no https", "host", host)
			}
		}
	}
	log.Info("serving", "data", q.data, "version", version())
}

// The house is looked after every hour: a machine that is on for a few hours a
// day needs its backups too.
const (
	houseEvery  = time.Hour
	backupEvery = 24 * time.Hour
)

// keepHouse makes a backup a day and forgets what is over, until ctx ends.
func keepHouse(ctx context.Context, store *storage.Store, dir string, log *slog.Logger) {
	look := func() {
		if now := time.Now().UTC(); ctx.Err() == nil {
			tellNotices(store, log)
			backupIfDue(store, dir, now, log)
			if err := store.Prune(now); err != nil {
				log.Error("what is over could not be forgotten", "err", err)
			}
		}
	}
	look()
	beat.Every(ctx, houseEvery, "housekeeping", log, look)
}

// tellNotices logs what the store had to do by itself.
func tellNotices(store *storage.Store, log *slog.Logger) {
	for _, notice := range store.Notices() {
		log.Warn(notice)
	}
}

// backupIfDue makes a backup if the newest is a day old. Those of a clock that ran
// ahead don't count.
func backupIfDue(store *storage.Store, dir string, now time.Time, log *slog.Logger) {
	paths, _ := filepath.Glob(filepath.Join(dir, "backups", "*.db")) // the pattern is well formed
	for _, path := range paths {
		if info, err := os.Stat(path); err == nil {
			if age := now.Sub(info.ModTime()); age >= 0 && age < backupEvery {
				return
			}
		}
	}
	path, err := store.BackupTo("", now, storage.BackupsKept)
	if err != nil {
		log.Error("no backup could be made", "err", err)
		return
	}
	log.Info("backup made", "path", path)
}
