package supply

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"slices"
	"strings"
	"sync"
	"syscall"
	"time"
)

// What is fetched comes from where whoever runs the program has said. An address
// that leads elsewhere, by a redirection or by what a name server answers, must
// not reach into the machine's own network: there a request alone can do harm.

// inwardNets are addresses that lead into networks of one's own, or nowhere,
// beside those that package netip knows by itself. From RFC 6890, RFC 6598,
// RFC 2544, RFC 6052 and RFC 3879.
var inwardNets = []netip.Prefix{
	netip.MustParsePrefix("0.0.0.0/8"), netip.MustParsePrefix("100.64.0.0/10"),
	netip.MustParsePrefix("192.0.0.0/24"), netip.MustParsePrefix("198.18.0.0/15"),
	netip.MustParsePrefix("240.0.0.0/4"), netip.MustParsePrefix("64:ff9b::/96"),
	netip.MustParsePrefix("64:ff9b:1::/48"), netip.MustParsePrefix("fec0::/10"),
	netip.MustParsePrefix("2002::/16"),
}

// inward reports whether an address is none of the public network's.
func inward(a netip.Addr) bool {
	a = a.Unmap().WithZone("")
	return !a.IsGlobalUnicast() || a.IsPrivate() ||
		slices.ContainsFunc(inwardNets, func(p netip.Prefix) bool { return p.Contains(a) })
}

// meant reports whether a host was named as one of the own network: by its
// number, or by a name that is no public one (RFC 6761, RFC 6762, RFC 8375).
func meant(host string) bool {
	if _, err := netip.ParseAddr(host); err == nil {
		return true
	}
	host = strings.TrimSuffix(strings.ToLower(host), ".")
	own := []string{".local", ".localhost", ".internal", ".home.arpa", ".lan", ".home"}
	return !strings.Contains(host, ".") || slices.ContainsFunc(own, func(end string) bool { return strings.HasSuffix(host, end) })
}

// errInward is a way that leads into the own network.
var errInward = errors.New("it leads to an address of the own network, which was not asked for")

// guard is the network for fetches: one way for hosts that were named as the own
// network's, another that refuses to connect inward.
type guard struct {
	free, strict *http.Transport
}

// newGuard returns the network; resolver asks for names (nil: as the system does).
func newGuard(resolver *net.Resolver) *guard {
	var proxies sync.Map // by address: they may be anywhere
	proxy := func(r *http.Request) (*url.URL, error) {
		u, err := http.ProxyFromEnvironment(r)
		if err == nil && u != nil {
			proxies.Store(withPort(u), true)
		}
		return u, err
	}
	free := net.Dialer{Timeout: 10 * time.Second, Resolver: resolver}
	outward := free
	outward.Control = refuseInward
	g := &guard{free: &http.Transport{
		Proxy: proxy, DialContext: free.DialContext, ForceAttemptHTTP2: true,
		TLSHandshakeTimeout: 10 * time.Second, ResponseHeaderTimeout: 30 * time.Second,
		IdleConnTimeout: time.Minute, MaxIdleConns: 4, MaxResponseHeaderBytes: 64 << 10,
	}}
	g.strict = g.free.Clone()
	g.strict.DialContext = func(ctx context.Context, network, addr string) (net.Conn, error) {
		if _, ok := proxies.Load(addr); ok {
			return free.DialContext(ctx, network, addr)
		}
		return outward.DialContext(ctx, network, addr)
	}
	return g
}

func withPort(u *url.URL) string {
	port := u.Port()
	if port == "" {
		port = map[string]string{"http": "80", "https": "443", "socks5": "1080", "socks5h": "1080"}[u.Scheme]
	}
	return net.JoinHostPort(u.Hostname(), port)
}

// refuseInward is asked with the very address that is about to be connected to,
// after names are resolved: a second answer can't differ from the one checked.
func refuseInward(_, addr string, _ syscall.RawConn) error {
	at, err := netip.ParseAddrPort(addr)
	if err != nil {
		return fmt.Errorf("connect: %w", err)
	}
	if inward(at.Addr()) {
		return errInward
	}
	return nil
}

// RoundTrip implements http.RoundTripper.
func (g *guard) RoundTrip(r *http.Request) (*http.Response, error) {
	first := r
	for first.Response != nil {
		first = first.Response.Request
	}
	if r.URL.Host == first.URL.Host && meant(r.URL.Hostname()) {
		return g.free.RoundTrip(r)
	}
	return g.strict.RoundTrip(r)
}

// checkRedirect follows few redirections, none to another scheme but from http to
// https, and none to an address that can be told to lead inward.
func checkRedirect(r *http.Request, via []*http.Request) error {
	first, last, host := via[0].URL, via[len(via)-1].URL, r.URL.Hostname()
	number, err := netip.ParseAddr(host)
	switch public := err == nil && !inward(number); {
	case len(via) >= 5:
		return errors.New("more than five redirections")
	case r.URL.Scheme == "http" && last.Scheme != "http":
		return fmt.Errorf("redirected from %s to http", first.Scheme)
	case r.URL.Scheme != "http" && r.URL.Scheme != "https":
		return fmt.Errorf("redirected from %s to another scheme", first.Scheme)
	case r.URL.Host != first.Host && meant(host) && !public:
		return errInward
	}
	return nil
}
