"""The words for movement: what each stands for, and how hard it usually is."""

import re
import tomllib
from collections.abc import Sequence
from importlib.resources import files

from bot.model.entries import Effort
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.phrases import Phrases, parse
from bot.understanding.words.wordlists import word_set

_TABLES = tomllib.loads(files(__package__).joinpath("movements.toml").read_text(encoding="utf-8"))
EFFORTS: dict[str, Effort] = {
    word: effort for effort, words in _TABLES.pop("efforts").items() for word in words.split()
}
"""Words that say how hard a movement was."""
_SPORTS = _TABLES.pop("sports")
SPORTS = word_set(_SPORTS["words"])
MOVEMENTS: dict[str, tuple[str, Effort]] = {name: (name, _SPORTS["effort"]) for name in SPORTS} | {
    word: (what, table["effort"])
    for what, table in _TABLES.items()
    for word in table.get("words", "").split()
}
"""Each word for movement: what it is, and its usual effort."""
LASTING: dict[str, tuple[str, Effort]] = {
    word: (what, table["effort"])
    for what, table in _TABLES.items()
    for word in table.get("lasting", "").split()
}
"""Words that are movement where something says how long it was."""
_HARDER: Effort = "moderate"
_PHRASES: Phrases[tuple[str, Effort]] = Phrases(
    [
        *((p, (what, _HARDER)) for what, table in _TABLES.items() for p in parse(table.get("harder", ""))),
        *(
            (p, (what, table["effort"]))
            for what, table in _TABLES.items()
            for p in parse(table.get("phrases", ""))
        ),
    ]
)


_ENDS_IN_WALK = re.compile(r"(?!side|cat|cake|board|space|cross)\w{3,}walk(s|ed|ing)?")


def _names_none(word: str, behind: Sequence[str]) -> bool:
    """Tell whether the word behind makes it no movement: "ran out", "run over"."""
    runs = word in ("ran", "run", "runs", "running")
    return any(after in TAGS.no_movement or (after == "over" and runs) for after in behind)


def _names_other(before: str, word: str) -> bool:
    """Tell whether the word before makes it no movement: "post workout", "school run", "lemon squash"."""
    if word == "run":
        return before in ("school", "nursery", "coffee", "food", "beer", "shop", "supermarket", "grocery")
    if word == "row":
        return before in ("a", "the", "in")
    if word in ("workout", "gym", "training", "run"):
        return before in ("pre", "post")
    return word == "squash" and before in (
        "orange",
        "lemon",
        "blackcurrant",
        "butternut",
        "summer",
        "of",
        "fruit",
    )


def find_movement(words: Sequence[str]) -> tuple[str, Effort] | None:
    """Return what movement the words name and its usual effort, None for none."""
    if "stretch" in words and "of" in words:  # "a long stretch of a walk"
        words = [w for w in words if w != "stretch"]
    for i, word in enumerate(words):
        phrase = _PHRASES.at(words, i)
        if phrase is not None and words[i - 1 : i] != ["hot"]:  # "hot dog out"
            return phrase
        if word in ("lifting", "lifted") and words[i + 1 : i + 2] and words[i + 1] not in TAGS.at_the_gym:
            return "physical work", "moderate"  # "lifting flour sacks"
        if word not in MOVEMENTS and _ENDS_IN_WALK.fullmatch(word):
            return MOVEMENTS["walk"]  # bushwalk, parkwalk
        if word not in MOVEMENTS or _names_none(word, words[i + 1 : i + 2]):
            continue
        on = words[i + 1 : i + 2] in (["on"], ["over"], ["late"]) and i + 2 == len(words) and word == "ran"
        if not on and not (i and _names_other(words[i - 1], word)):  # "the meeting ran on"
            return MOVEMENTS[word]
    return None


MOVEMENT_WORDS = frozenset(MOVEMENTS) | _PHRASES.words
"""Every word that is in the name of a movement."""
