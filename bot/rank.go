package bot

import (
	"cmp"
	"slices"
	"strings"

	"skyslate/storage"
)

// rank is how soon a post goes out among those that an operator is owed: what
// tells whether a contact is in the log comes first, pictures come last.
type rank int

const (
	rankAnswer rank = iota
	rankQuestion
	rankReminder
	rankSummary
	rankDocument
	rankPicture
)

// ranks are those of texts, by the second part of a post's name; all others are
// answers.
var ranks = map[string]rank{
	"ask": rankQuestion, "which": rankQuestion,
	"remind": rankReminder, "card": rankReminder,
	"sum": rankSummary, "missed": rankSummary,
}

func rankOf(p storage.Post) rank {
	if p.Op == storage.Edit {
		return rankAnswer // it corrects what is read already
	}
	if p.Op == storage.File {
		if p.Recipe != nil && slices.Contains([]string{storage.RecipeSky, storage.RecipeReach, storage.RecipeWorked}, p.Recipe.Kind) {
			return rankPicture
		}
		return rankDocument
	}
	kind, _, _ := strings.Cut(strings.TrimPrefix(p.Name, string(p.Operator)+"/"), "/")
	return ranks[kind]
}

// inTurn orders posts as they are to go out: by rank, the older first within one.
func inTurn(posts []storage.Post) {
	slices.SortStableFunc(posts, func(a, b storage.Post) int { return cmp.Compare(rankOf(a), rankOf(b)) })
}
