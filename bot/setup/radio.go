package setup

import (
	"slices"
	"strconv"
	"strings"

	"skyslate/bot/say/settings"
	"skyslate/bot/shown"
)

// rasters are the steps that radios have, in kHz.
var rasters = []float64{1, 2.5, 5, 6.25, 10, 12.5}

// SetRadio shows or changes how the operator's radio is dialled: "step 12.5",
// "2m on", "2m off".
func (p Settings) SetRadio(rest string) {
	words := strings.Fields(strings.ToLower(rest))
	r := p.Op.Radio
	switch {
	case len(words) == 0:
	case len(words) == 2 && words[0] == "step":
		step, err := strconv.ParseFloat(strings.TrimSuffix(words[1], "khz"), 64)
		if err != nil || !slices.Contains(rasters, step) {
			p.Say(settings.BadStep(words[1]))
			return
		}
		if r.StepKHz = step; step == shown.RasterKHz {
			r.StepKHz = 0
		}
	case len(words) == 2 && words[0] == "2m" && (words[1] == "on" || words[1] == "off"):
		r.Both = words[1] == "on"
	default:
		p.Say(settings.RadioHow)
		return
	}
	p.Op.Radio = r
	p.RenewSheets()
	p.Say(settings.RadioSet(shown.Radio(r)))
}
