package bot

import (
	"os"
	"regexp"
	"testing"

	"skyslate/bot/question"
	"skyslate/bot/say"
	"skyslate/bot/say/joint"
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

// What stands on a button that asks nothing of a contact does the same when it is said.
func TestButtonsAreSaidInWords(t *testing.T) {
	none := question.Birds{Is: func(string) bool { return false }}
	for _, label := range []string{
		say.LabelTimetable, say.LabelLight, say.LabelMemories, say.LabelSky, say.LabelReach, say.LabelTakeBack, say.LabelForget,
		joint.LabelEnd, say.LabelCalendarAnew, say.LabelAgree, "Announce", "Call off",
	} {
		if q, ok := question.Read(label, none); !ok || q.Kind == question.Speech {
			t.Errorf("“%s” is read as %q", label, q.Kind)
		}
	}
}

// Commands that answer questions in other words are there.
func TestQuestionsNameCommands(t *testing.T) {
	table, err := os.ReadFile("question/questions.txt")
	if err != nil {
		t.Fatal(err)
	}
	named := regexp.MustCompile(`(?m)^/(\w+)`).FindAllSubmatch(table, -1)
	if len(named) == 0 {
		t.Error("none is named")
	}
	for _, m := range named {
		if _, ok := commands[string(m[1])]; !ok {
			t.Errorf("there is no command /%s", m[1])
		}
	}
}
