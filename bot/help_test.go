package bot

import (
	"regexp"
	"testing"

	"skyslate/bot/say"
)

// Each command can be found from /help, and nothing stands there that is none.
func TestHelpNamesEveryCommand(t *testing.T) {
	told := map[string]bool{"start": true} // who reads this has said it
	for _, m := range regexp.MustCompile(`/([a-z]+)`).FindAllStringSubmatch(say.Help+"\n"+say.HelpMore, -1) {
		told[m[1]] = true
		if _, known := commands[m[1]]; !known {
			t.Errorf("/%s is in the help, and no command", m[1])
		}
	}
	for name := range commands {
		if !told[name] {
			t.Errorf("/%s is not in the help", name)
		}
	}
}
