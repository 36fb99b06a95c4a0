package setup

import (
	"maps"
	"regexp"
	"strconv"
	"strings"

	"skyslate/bot/say"
	"skyslate/bot/tx"
)

// A pair is what a text tells of the way through a bird: columns of the list.
type pair struct {
	set map[string]string
	// either says that nothing tells the uplink from the downlink.
	either bool
}

// pairSigns are the words, figures and signs of such a text. A figure may be a passband.
var pairSigns = regexp.MustCompile(`\d{1,5}(?:[.,]\d{1,4})?(?:-\d{1,5}(?:[.,]\d{1,4})?)?|\p{L}+|[^\s,;.:+]`)

// pairWords say what the figure beside them is, or how a passband lies.
var pairWords = map[string]string{
	"up": uplink, "uplink": uplink, "tx": uplink, "transmit": uplink,
	"down": downlink, "downlink": downlink, "rx": downlink, "receive": downlink,
	"tone": tone, "ctcss": tone, "subtone": tone,
	"inverting": way, "straight": way,
	"none": "", "no": "", "and": "", "with": "", "mhz": "", "hz": "", "fm": "", "is": "",
}

// The columns of the list that a pair fills.
const (
	uplink   = "uplink_mhz"
	downlink = "downlink_mhz"
	tone     = "tone_hz"
	way      = "way"
)

// readPair reads the frequencies of a bird, in any order and with or without words. A
// stroke between two parts the uplink from the downlink, and so does a band that goes
// one way only.
func readPair(text string) (pair, error) {
	p := pair{set: map[string]string{"source": "you"}}
	var free []string                            // frequencies that no word stands beside
	announced, named, behind := "", false, false // behind: the words follow their figures
	for _, sign := range pairSigns.FindAllString(strings.ToLower(text), -1) {
		column, word := pairWords[sign]
		figure := strings.ReplaceAll(sign, ",", ".")
		_, isFigure := mhz(figure)
		switch {
		case sign == "/" || word && column == "":
		case column == way:
			p.set[way] = sign
		case column != "" && behind && column != tone && len(free) > 0:
			p.set[column], free = free[len(free)-1], free[:len(free)-1]
		case column != "":
			announced, named = column, named || column != tone
		case !isFigure:
			return pair{}, tx.Sayable(say.BadPair(sign))
		case announced != "":
			p.set[announced], announced = figure, ""
		case isTone(figure):
			p.set[tone] = figure
		default:
			free = append(free, figure)
			behind = behind || !named
		}
	}
	if !p.take(free, strings.Contains(text, "/")) {
		return pair{}, tx.Sayable(say.BadPair(text))
	}
	return p, nil
}

// take gives the frequencies that no word stands beside to what lacks, and reports
// whether that makes a pair.
func (p *pair) take(free []string, inOrder bool) bool {
	taken := 0
	for _, column := range []string{uplink, downlink} {
		if p.set[column] == "" && taken < len(free) {
			p.set[column] = free[taken]
			taken++
		}
	}
	if taken < len(free) || p.set[downlink] == "" {
		return false
	}
	switch {
	case taken < 2 || inOrder:
	case goes(p.set[uplink], downOnly) || goes(p.set[downlink], upOnly):
		p.set = p.turned()
	case !goes(p.set[uplink], upOnly) && !goes(p.set[downlink], downOnly):
		p.either = true
	}
	return true
}

// turned is a pair the other way round.
func (p pair) turned() map[string]string {
	set := maps.Clone(p.set)
	set[uplink], set[downlink] = p.set[downlink], p.set[uplink]
	return set
}

// Bands in which the amateur-satellite service goes one way only, in MHz: Radio
// Regulations, Article 5, No. 5.282 (1260–1270, 5650–5670: Earth to space) and the
// table of allocations (5830–5850: space to Earth).
var (
	upOnly   = [][2]float64{{1260, 1270}, {5650, 5670}}
	downOnly = [][2]float64{{5830, 5850}}
)

// goes reports whether a frequency, or a passband, lies in one of some bands.
func goes(figure string, bands [][2]float64) bool {
	f, _ := mhz(figure)
	for _, band := range bands {
		if f >= band[0] && f <= band[1] {
			return true
		}
	}
	return false
}

// isTone reports whether a figure is an access tone rather than a frequency: tones in
// use are 67.0 to 254.1 Hz, none of them in the 2 m band (common practice, no source).
func isTone(figure string) bool {
	f, _ := mhz(figure)
	return f >= 60 && f <= 260 && (f < 144 || f > 146)
}

// mhz is a figure, or where a passband begins.
func mhz(figure string) (float64, bool) {
	low, _, _ := strings.Cut(figure, "-")
	f, err := strconv.ParseFloat(low, 64)
	return f, err == nil
}

// inOrder writes a pair as "UP/DOWN", with what is told beside.
func inOrder(set map[string]string) string {
	text := set[uplink] + "/" + set[downlink]
	if set[tone] != "" {
		text += " tone " + set[tone]
	}
	return strings.TrimSpace(text + " " + set[way])
}
