"""What words that are no question of ours come nearest to, among all that can be asked. Pure."""

from bot.understanding.context import Context
from bot.understanding.questions.learned import log_chances, sort_features
from bot.understanding.questions.questions import WEIGHT_LEARNED, cues_in, look_at, tagged
from bot.understanding.questions.sorts import ABOUT, Sort
from bot.understanding.words.tokens import read_tokens

MOST_CHARACTERS = 300


def nearest_sorts(text: str, context: Context) -> list[Sort]:
    """Return all sorts of question, the one that the words are likest to first.

    By the votes of their cues and the learned score, as a question's own sort is found; what its food or meal
    would be does not matter here.
    """
    tokens = read_tokens(" ".join(text.split())[:MOST_CHARACTERS])
    words, found = cues_in(tokens)
    said, _ = look_at(tokens, words, found, context)
    learned = log_chances(sort_features(tagged(said), found.names))
    return sorted(ABOUT, key=lambda sort: -(found.votes[sort] + WEIGHT_LEARNED * learned.get(sort, -99.0)))
