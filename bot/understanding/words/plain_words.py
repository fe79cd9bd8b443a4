"""Common words that name no food: where nothing else is known of a phrase, these alone make no dish.

The list is of everyday English (people, places, times, doings, judgements), written from memory. It is only
asked about words that the food table does not know, so a word that is in some food's name does no harm.
"""

from collections.abc import Sequence
from functools import lru_cache

from bot.understanding.words.lexicon import TAGS

_LEAST_LETTERS = 2

PLAIN_WORDS = TAGS.people | TAGS.place_words | TAGS.times | TAGS.glue_plain | TAGS.doing | TAGS.judging
"""Words of everyday English that are no food by themselves."""


SAYS_LITTLE = (TAGS.times | TAGS.glue_plain | TAGS.judging | TAGS.place_words) - TAGS.says_little
"""Words that may be left out of a name: what is left means the same."""


def holds_name(words: Sequence[str]) -> bool:
    """Tell whether any of the words may be a name of food that is not known here."""
    return any(not is_plain(word) for word in words)


@lru_cache(maxsize=8192)
def is_plain(word: str) -> bool:
    """Tell whether a word is one of the plain ones, or a form of one."""
    bare = word.split("'")[0]
    return len(bare) < _LEAST_LETTERS or bare in PLAIN_WORDS or _is_form(bare)


def _is_form(word: str) -> bool:
    return any(
        word.endswith(end) and word.removesuffix(end) in PLAIN_WORDS for end in ("s", "ing", "ed", "ly")
    )
