package main

import (
	"context"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/http/pprof"
	"net/netip"
	"time"
)

// parseDebug takes an address of this machine alone: profiles are for nobody else.
func parseDebug(s string) (string, error) {
	at, err := netip.ParseAddrPort(s)
	if err != nil || !at.Addr().IsLoopback() {
		return "", argumentError(1, s, "an address that only this machine can reach, as 127.0.0.1:6060")
	}
	return at.String(), nil
}

// serveDebug gives the program's profiles at an address until ctx ends.
func serveDebug(ctx context.Context, at string, log *slog.Logger) error {
	listener, err := net.Listen("tcp", at)
	if err != nil {
		return fmt.Errorf("-debug: %w", err)
	}
	mux := http.NewServeMux()
	mux.HandleFunc("/debug/pprof/", pprof.Index)
	mux.HandleFunc("/debug/pprof/profile", pprof.Profile)
	mux.HandleFunc("/debug/pprof/trace", pprof.Trace)
	mux.HandleFunc("/debug/pprof/symbol", pprof.Symbol)
	server := &http.Server{Handler: mux, ReadHeaderTimeout: 10 * time.Second}
	context.AfterFunc(ctx, func() { _ = server.Close() }) // a profile under way is cut off
	log.Info("profiles", "address", fmt.Sprintf("http://%s/debug/pprof/", listener.Addr()))
	go func() { _ = server.Serve(listener) }() // it ends with an error when it is closed
	return nil
}
