module skyslate

go 1.26.8

require (
	git.sr.ht/~sbinet/gg v0.8.0
	github.com/arran4/golang-ical v0.3.4
	github.com/go-telegram/bot v1.19.0
	github.com/golang/snappy v1.0.0
	github.com/joshuaferrara/go-satellite v0.0.0-20220611180459-512638c64e5b
	github.com/ringsaturn/tzf v1.0.2
	github.com/ringsaturn/tzf-rel-lite v0.0.2025-b2
	github.com/robfig/cron/v3 v3.0.1
	go.etcd.io/bbolt v1.5.0
	golang.org/x/image v0.47.0
	golang.org/x/term v0.48.0
	golang.org/x/text v0.44.0
	google.golang.org/protobuf v1.36.12
	maunium.net/go/mautrix v0.32.0
)

// For tests only.
require (
	github.com/creack/pty v1.1.24
	github.com/google/go-cmp v0.7.0
	github.com/rogpeppe/go-internal v1.16.0
	pgregory.net/rapid v1.3.0
)

require (
	filippo.io/edwards25519 v1.2.0 // indirect
	github.com/golang/freetype v0.0.0-20170609003504-e2365dfdc4a0 // indirect
	github.com/mattn/go-colorable v0.1.14 // indirect
	github.com/mattn/go-isatty v0.0.20 // indirect
	github.com/mitchellh/mapstructure v1.5.0 // indirect
	github.com/paulmach/orb v0.12.0 // indirect
	github.com/pkg/errors v0.9.1 // indirect
	github.com/rs/zerolog v1.35.1 // indirect
	github.com/tidwall/geoindex v1.7.0 // indirect
	github.com/tidwall/geojson v1.4.5 // indirect
	github.com/tidwall/gjson v1.20.0 // indirect
	github.com/tidwall/match v1.1.1 // indirect
	github.com/tidwall/pretty v1.2.1 // indirect
	github.com/tidwall/rtree v1.10.0 // indirect
	github.com/tidwall/sjson v1.2.5 // indirect
	github.com/twpayne/go-polyline v1.1.1 // indirect
	go.mau.fi/util v0.11.0 // indirect
	go.mongodb.org/mongo-driver v1.11.4 // indirect
	golang.org/x/crypto v0.58.0 // indirect
	golang.org/x/exp v0.0.0-20261014143641-f0251eb4aa3e // indirect
	golang.org/x/net v0.61.0 // indirect
	golang.org/x/sys v0.50.0 // indirect
	golang.org/x/tools v0.52.0 // indirect
)
