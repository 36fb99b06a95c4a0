package say

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"skyslate/bot/phrase"
	"skyslate/parse"
	"skyslate/predict"
)

// TestPassTexts shows the texts as the operator sees them. The moments, azimuths
// and dial steps of OCHRE-1 are rows of the reference predictions (JO62qm, pass
// 3: AOS 13:12:55.721 at 252.722°, TCA 13:18:20.918 at 168.115° and 65.4925°,
// LOS 13:23:46.936 at 83.561°).
func TestPassTexts(t *testing.T) {
	s := inventedSky(t)
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	nth := func(bird string, n int) Pass { return passesOf(t, s, bird, placeAt("JO62qm"))[n-1] }
	remind := func(p Pass, before time.Duration, others ...Pass) string {
		return Reminder(p, others, ownCall, p.AOS.Add(-before), berlin)
	}
	list := append(passesOf(t, s, "OCHRE-1", placeAt("JO62qm"))[2:6], passesOf(t, s, "SIENNA", placeAt("JO62qm"))[4:12]...)
	list[0].Followed, list[1].Followed, list[3].Skipped = true, true, true
	old := passesOf(t, agedSky(t, 17*phrase.Day), "OCHRE-1", placeAt("JO62qm"))[1]
	line := nth("OCHRE-1", 3)
	line.Place.Grids = grids("JO62 JO72")
	bird := func(name string) string { return OneBird(s.bird(name), 5, utc("2026-09-05T00:00:00Z")) }
	few := testSky{s.birds[:4], s.sets[1:3]}
	for _, tt := range []struct{ name, got, want string }{
		{
			"an FM bird with its downlink on 70 cm, at the lead", remind(nth("OCHRE-1", 3), 10*time.Minute),
			`* OCHRE-1 rises in 10 min in the WSW
AOS 13:12:56 UTC, 15:12:56 CEST
TCA 13:18:21 at 65°, LOS 13:23:47
Sun 8° off your track at 13:17:28!
Up 145.990 tone 67.0, down 436.800 FM
| UTC      true az  el  receive
| 13:12:56 253 WSW  0°  436.810
| 13:17:14 237 WSW 37°  436.805
| 13:18:05 200 SSW 62°  436.800
| 13:18:21 168 SSE 65°  436.800
| 13:18:37 137 SE  62°  436.795
| 13:19:28 099 E   37°  436.790
| 13:23:47 084 E    0°  436.790
Recording? Begin: “OX9QZT in JO62qm on
OCHRE-1, 1 Sep 2026, UTC now …”`,
		},
		{
			"the same bird when it is up: from now on", remind(nth("OCHRE-1", 3), -5*time.Minute),
			`* OCHRE-1 is up until 13:23:47 UTC
AOS 13:12:56 UTC, 15:12:56 CEST
TCA 13:18:21 at 65°, LOS 13:23:47
Sun 8° off your track at 13:17:28!
Up 145.990 tone 67.0, down 436.800 FM
| UTC      true az  el  receive
| 13:17:56 212 SSW 57°  436.805
| 13:18:05 200 SSW 62°  436.800
| 13:18:21 168 SSE 65°  436.800
| 13:18:37 137 SE  62°  436.795
| 13:19:28 099 E   37°  436.790
| 13:23:47 084 E    0°  436.790
Recording? Begin: “OX9QZT in JO62qm on
OCHRE-1, 1 Sep 2026, UTC now …”`,
		},
		{
			"a minute before", Reminder(nth("OCHRE-1", 3), nil, parse.Callsign{}, utc("2026-09-01T13:12:00Z"), nil),
			`* OCHRE-1 rises in 56 s in the WSW
AOS 13:12:56 UTC
TCA 13:18:21 at 65°, LOS 13:23:47
Sun 8° off your track at 13:17:28!
Up 145.990 tone 67.0, down 436.800 FM
| UTC      true az  el  receive
| 13:12:56 253 WSW  0°  436.810
| 13:17:14 237 WSW 37°  436.805
| 13:18:05 200 SSW 62°  436.800
| 13:18:21 168 SSE 65°  436.800
| 13:18:37 137 SE  62°  436.795
| 13:19:28 099 E   37°  436.790
| 13:23:47 084 E    0°  436.790
Recording? Begin: “a station in JO62qm
on OCHRE-1, 1 Sep 2026, UTC now …”`,
		},
		{
			"on a line between two squares", remind(line, 3*time.Hour),
			`* OCHRE-1 rises in 3 h in the WSW
AOS 13:12:56 UTC, 15:12:56 CEST
TCA 13:18:21 at 65°, LOS 13:23:47
Sun 8° off your track at 13:17:28!
Up 145.990 tone 67.0, down 436.800 FM
| UTC      true az  el  receive
| 13:12:56 253 WSW  0°  436.810
| 13:17:14 237 WSW 37°  436.805
| 13:18:05 200 SSW 62°  436.800
| 13:18:21 168 SSE 65°  436.800
| 13:18:37 137 SE  62°  436.795
| 13:19:28 099 E   37°  436.790
| 13:23:47 084 E    0°  436.790
Recording? Begin: “OX9QZT in JO62 JO72
on OCHRE-1, 1 Sep 2026, UTC now …”`,
		},
		{
			"its uplink on 70 cm: the transmit dial steps up", remind(nth("OCHRE-2", 2), 10*time.Minute),
			`* OCHRE-2 rises in 10 min in the N
AOS 10:04:54 UTC, 12:04:54 CEST
TCA 10:10:56 at 49°, LOS 10:16:52
Up 435.250 no tone, down 145.865 FM
| UTC      true az  el transmit
| 10:04:54 009 N    0°  435.240
| 10:08:55 353 N   25°  435.245
| 10:10:24 317 NW  45°  435.250
| 10:10:56 290 WNW 49°  435.250
| 10:11:12 276 W   48°  435.255
| 10:12:15 238 WSW 34°  435.260
| 10:16:52 211 SSW  0°  435.260
Recording? Begin: “OX9QZT in JO62qm on
OCHRE-2, 1 Sep 2026, UTC now …”`,
		},
		{
			"a linear bird", remind(nth("UMBER-A", 5), 10*time.Minute),
			`* UMBER-A rises in 10 min in the NNE
AOS 13:42:12 UTC, 15:42:12 CEST
TCA 13:49:54 at 84°, LOS 13:57:36
Linear, inverting, SSB
Up 145.935–145.995, middle 145.965
Down 435.610–435.670, middle 435.640
| m:s   az el  receive transmit
| 42:12 014  0 435.6497 145.9618
| 46:03 017 20 435.6491 145.9620
| 49:54 105 84 435.6400 145.9650
| 53:45 193 20 435.6309 145.9680
| 57:36 195  0 435.6303 145.9682
Recording? Begin: “OX9QZT in JO62qm on
UMBER-A, 1 Sep 2026, UTC now …”`,
		},
		{
			"both sides on 2 m: nothing to step, and a tone to switch it on", remind(nth("SIENNA", 1), 10*time.Minute),
			`* SIENNA rises in 10 min in the NW
AOS 01:14:42 UTC, 03:14:42 CEST
TCA 01:24:56 at 30°, LOS 01:35:27
Up 145.825 tone 141.3, down 145.925 FM
To switch it on first: tone 74.4
| UTC      true az  el
| 01:14:42 318 NW   0°
| 01:19:49 299 WNW 17°
| 01:24:56 253 WSW 30°
| 01:30:11 206 SSW 16°
| 01:35:27 187 S    0°
Recording? Begin: “OX9QZT in JO62qm on
SIENNA, 1 Sep 2026, UTC now …”`,
		},
		{
			"both sides on 70 cm", remind(nth("CELADON", 2), 10*time.Minute),
			`* CELADON rises in 10 min in the SSE
AOS 02:53:11 UTC, 04:53:11 CEST
TCA 03:00:58 at 33°, LOS 03:09:47
Up 435.100 tone 88.5, down 436.400 FM
| m:s   az el  receive transmit
| 53:11 155  0  436.410  435.090
| 55:52 145 11  436.405  435.095
| 59:42 107 31  436.400  435.100
| 00:58 084 33  436.400  435.100
| 01:50 069 32  436.395  435.105
| 06:00 028 14  436.390  435.110
| 09:47 016  0  436.390  435.110
Recording? Begin: “OX9QZT in JO62qm on
CELADON, 1 Sep 2026, UTC now …”`,
		},
		{
			"one that overlaps", remind(nth("OCHRE-1", 3), 10*time.Minute, nth("UMBER-A", 5)),
			`* OCHRE-1 rises in 10 min in the WSW
AOS 13:12:56 UTC, 15:12:56 CEST
Sun 8° off your track at 13:17:28!
Up 145.990 tone 67.0, down 436.800 FM
| UTC      true az  el  receive
| 13:12:56 253 WSW  0°  436.810
| 13:17:14 237 WSW 37°  436.805
| 13:18:05 200 SSW 62°  436.800
| 13:18:21 168 SSE 65°  436.800
| 13:18:37 137 SE  62°  436.795
| 13:19:28 099 E   37°  436.790
| 13:23:47 084 E    0°  436.790
+UMBER-A 13:42 84° 145.965/435.640 SSB
Recording? Begin: “OX9QZT in JO62qm on
OCHRE-1, 1 Sep 2026, UTC now …”`,
		},
		{
			"three that overlap", remind(nth("OCHRE-1", 3), 10*time.Minute, nth("UMBER-A", 5), nth("OCHRE-2", 3), nth("SIENNA", 5)),
			`* OCHRE-1 rises in 10 min in the WSW
AOS 13:12:56 UTC, 15:12:56 CEST
Sun 8° off your track at 13:17:28!
Up 145.990 tone 67.0, down 436.800 FM
| UTC      true az  el  receive
| 13:12:56 253 WSW  0°  436.810
| 13:17:14 237 WSW 37°  436.805
| 13:18:05 200 SSW 62°  436.800
| 13:18:21 168 SSE 65°  436.800
| 13:18:37 137 SE  62°  436.795
| 13:19:28 099 E   37°  436.790
| 13:23:47 084 E    0°  436.790
Also UMBER-A 13:42 84°, OCHRE-2 11:40
  8°, SIENNA 16:01 84°`,
		},
		{
			"old elements", remind(old, 10*time.Minute),
			`* OCHRE-1 rises in 10 min in the SW
Old elements (17 days): AOS ±58 s
AOS 06:08:50 UTC, 08:08:50 CEST
Sun 3° off your track at 06:16:03!
Up 145.990 tone 67.0, down 436.800 FM
| UTC      true az  el  receive
| 06:08:50 220 SW   0°  436.810
| 06:11:50 200 SSW 14°  436.805
| 06:13:27 165 SSE 25°  436.800
| 06:13:58 150 SSE 26°  436.800
| 06:14:28 134 SE  25°  436.795
| 06:16:05 100 E   14°  436.790
| 06:19:06 079 E    0°  436.790
Recording? Begin: “OX9QZT in JO62qm on
OCHRE-1, 1 Sep 2026, UTC now …”`,
		},
		{
			"the next passes", Passes(list, placeAt("JO62qm"), "", 0),
			`Next at JO62qm: AOS UTC, peak, from–to
| Tue 1 Sep
| + 13:12 OCHRE-1 65° WSW–E
| + 14:49 OCHRE-1 72° W–ESE
|   16:26 OCHRE-1 31° WNW–SE
| x 18:03 OCHRE-1  7° W–S
|   16:01 SIENNA  84° SW–NE
|   17:59 SIENNA  39° W–NE
|   19:59 SIENNA  33° WNW–E
|   21:57 SIENNA  55° NW–ESE
|   23:55 SIENNA  59° NW–SSE
| Wed 2 Sep
|   01:53 SIENNA  16° NW–SSW
+ you are reminded, x skipped by you`,
		},
		{
			"no passes", Passes(nil, placeAt("JO62qm"), "", 0),
			`No pass ahead at JO62qm. Look at
/birds: do your birds have elements?`,
		},
		{
			"the birds, a part of them without elements", Birds(few.list(), BirdNotes{Orphans: []string{"CELADON (99134)"}}, 5, utc("2026-09-17T00:00:00Z")),
			`Up/down MHz, tone or mode:
| On:
| OCHRE-2 435.250/145.865 none
| See its note:
| UMBER-A 145.965/435.640 SSB
| No elements:
| OCHRE-1 145.990/436.800 67.0
| SIENNA  145.825/145.925 141.3
To be had by /birds add NAME: CELADON
  (99134)
Check before you transmit. More of
  one: /birds OCHRE-1`,
		},
		{
			"no birds", Birds(nil, BirdNotes{}, 5, utc("2026-09-16T00:00:00Z")),
			"No birds are known here.",
		},
		{
			"one bird", bird("OCHRE-1"),
			`OCHRE-1, catalog number 99101
In the log: OC-1
Also called: Ochre One
Up 145.990 tone 67.0, down 436.800 FM
On, except for a week in winter (20
  Aug 2026, an invented bulletin).
Note: Invented for tests.
Frequencies: invented
Elements of 1 Sep 2026 03:39 UTC (3
  days)`,
		},
		{
			"one linear bird with a beacon", bird("UMBER-A"),
			`UMBER-A, catalog number 99113
Beacon 435.605 CW
Linear, inverting, SSB
Up 145.935–145.995, middle 145.965
Down 435.610–435.670, middle 435.640
On in sunlight.
Elements of 1 Sep 2026 21:39 UTC (3
  days)`,
		},
		{
			"a bird without elements", Refusals(Refused{NoElements: []string{"OCHRE-1"}}),
			`No passes of OCHRE-1: I have no
elements. Send me a file with them.`,
		},
		{
			"elements too old", Refusals(Refused{Old: []string{"OCHRE-1"}, Age: 34*phrase.Day + time.Hour, Max: predict.MaxAge}),
			`No passes of OCHRE-1: the elements are
34 days off that time, and past 30
they can't be trusted. Send me a file
with newer ones.
All the same: /passes stale`,
		},
		{
			"elements that can't be used", Refusals(Refused{Unfit: []string{"OCHRE-1"}, Detail: "120 km up, the drag model needs 156"}),
			`No passes of OCHRE-1: the elements
can't be used (120 km up, the drag
model needs 156). Send me a file with
better ones.`,
		},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if diff := cmp.Diff(tt.want, shown(tt.got)); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}
