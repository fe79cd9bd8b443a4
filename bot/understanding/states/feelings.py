"""Clauses about how the person felt and what may move glucose: tired, ill, stressed, period, alcohol."""

import tomllib
from collections import defaultdict
from collections.abc import Sequence
from importlib.resources import files
from itertools import pairwise

from bot.understanding.pieces.drafts import Draft, moment_of
from bot.understanding.pieces.pieces import Amount, Clause, SlotWord, word_at
from bot.understanding.states.activities import is_kin
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.plain_words import is_plain
from bot.understanding.words.tokens import Token

_TABLES = tomllib.loads(files(__package__).joinpath("feelings.toml").read_text(encoding="utf-8"))
FEELINGS: dict[str, str] = {
    form: name
    for name, table in _TABLES.items()
    for form in f"{table.get('words', '')} {table.get('felt', '')}".split()
}
"""Each word for a feeling, and the name it is kept under."""
NAMES = frozenset(_TABLES)
"""Each name that a feeling is kept under."""
ONLY_FELT = frozenset(word for table in _TABLES.values() for word in table.get("felt", "").split())
_PHRASES: tuple[tuple[tuple[frozenset[str], ...], str], ...] = tuple(
    (tuple(frozenset(word.split("|")) for word in phrase.split()), name)
    for name, table in _TABLES.items()
    for phrase in table.get("phrases", "").split(",")
    if phrase.strip()
)
_BY_WORD: dict[str, list[int]] = defaultdict(list)
"""Where the phrases stand, by any of their rarest words: asking first makes long notes quick to read."""
for _k, (_phrase, _) in enumerate(_PHRASES):
    for _word in max(_phrase, key=lambda either: (min(map(len, either)), -len(either))):
        _BY_WORD[_word].append(_k)
_SORE = TAGS.hurting | TAGS.sore
_SHOWS = TAGS.felt_feelings | TAGS.night | TAGS.tossed | TAGS.woken | _SORE
_SHOWS |= {"woke", "too", "cold", "sleepless"} | FEELINGS.keys() | _BY_WORD.keys()
"""Without any of these words no clause tells how somebody felt."""
MOST_WORDS, _MOST_WORDS_OF_PAIN = 8, 9
_MOST_OTHER_WORDS = 2
_FED_UP = frozenset({"sick", "tired", "weary"})
"""With "of" behind, these say that something is tiresome: "I'm sick of converting"."""


def read_feeling(clause: Clause) -> Draft | None:
    """Read how the person felt: "tired", "felt dizzy at 15:00", "bad night", "slept badly"."""
    known = set(clause.words) | {word.removesuffix("'s") for word in clause.words}
    known -= {word for word, behind in pairwise(clause.words) if behind == "of" and word in _FED_UP}
    if known.isdisjoint(_SHOWS):
        return None
    phrase = _of_phrase(known)
    night = _read_night(known) or ("bad night" if phrase == "bad night" else "")
    if night and "slept" in known and _spans(clause):
        return None  # "slept 8:30 to 3 pretty good": when tells more than how
    if known & TAGS.felt_feelings and "like" in known and known & TAGS.like_death:
        return Draft("feeling", clause, "awful", moment=moment_of(clause))
    if (
        not night
        and "awake" in known
        and any(getattr(p, "until", None) or getattr(p, "low", None) for p in clause.pieces)
    ):
        night = "bad night"
    drinks = any(isinstance(p, SlotWord) and p.slot == "drink" for p in clause.pieces)
    if (known & TAGS.drinks or drinks) and "too" in known and known & {"many", "much"}:
        return Draft("feeling", clause, "alcohol", moment=moment_of(clause))
    if night:
        moment = moment_of(clause)
        told_after = moment is not None and not moment.has_clock and moment.part in ("night", "tonight")
        return Draft("feeling", clause, night, moment=None if told_after else moment)
    name = phrase or _named(clause, known)
    if not name and known & _SORE and known & TAGS.body and len(known) <= _MOST_WORDS_OF_PAIN:
        name = "pain" if known & TAGS.hurting else "achy"
    counted = [
        p
        for k, p in enumerate(clause.pieces)
        if isinstance(p, Amount)
        and word_at(clause.pieces, k - 1) not in TAGS.until_feelings
        and not (p.vague or p.article or (p.size and not p.unit) or ("cold" in known and p.unit == "whole"))
    ]
    if not name or (
        counted and name not in TAGS.fevers and not (name in ("period", "ill") and "day" in known)
    ):
        return None
    moment = moment_of(clause)
    lasting = (
        moment is not None and not moment.has_clock and bool(known & {"from", "after"})
    )  # "sore from yesterday"
    return Draft("feeling", clause, name, moment=None if lasting else moment)


def _spans(clause: Clause) -> bool:
    bare = [p for p in clause.pieces if isinstance(p, Amount) and not p.unit and not p.article]
    return any(m.until is not None for m in clause.moments) or len(bare) > 1


def denies_feeling(clause: Clause) -> bool:
    """Tell whether a clause only says how one did not feel: "not hungry tonight"."""
    words = [p.text for p in clause.pieces if isinstance(p, Token)]
    nots = TAGS.nots_feelings
    if nots.isdisjoint(words[:3]) or FEELINGS.keys().isdisjoint(words) or _spans(clause):
        return False  # "slept 10 to 5, not great"
    return all(w in FEELINGS or w in nots or is_plain(w) for w in words)


def _read_night(known: set[str]) -> str:
    if known & TAGS.night and known & TAGS.bad:
        return "bad night"
    often = "woke" in known or (known & TAGS.woken and any(map(is_kin, known)))
    if (known and known <= TAGS.tossed) or (often and known & TAGS.so_often):
        return "bad night"
    if "sleepless" in known or ("sleep" in known and known & TAGS.sleepless):
        return "bad night"
    if "slept" not in known or not known & TAGS.good:
        return ""
    return "bad night" if known & TAGS.nots_feelings else "good night"


def _of_phrase(known: set[str]) -> str:
    """Return the name of the first phrase whose words are all there, "" where none is."""
    near = {k for word in known for k in _BY_WORD.get(word, ())}
    return next((_PHRASES[k][1] for k in sorted(near) if all(known & w for w in _PHRASES[k][0])), "")


def _named(clause: Clause, known: set[str]) -> str:
    felt = bool(known & TAGS.felt_feelings)
    alone = len(known) == 1 or bool(known & TAGS.how_much)
    only = alone and known <= TAGS.how_much | FEELINGS.keys()  # "very happy"
    names = [
        w
        for w in clause.words
        if w in FEELINGS
        and (felt or w not in ONLY_FELT or (only and FEELINGS[w] not in TAGS.well))  # not "so good"
    ]
    word = next((w for w in names if FEELINGS[w] not in TAGS.well), names[0] if names else "")
    if "cold" in known and any(isinstance(p, Amount) and p.unit == "whole" for p in clause.pieces):
        return "ill"  # "with a head cold"
    if FEELINGS.get(word) == "alcohol" and known & {"free", "non", "no", "without", "zero"}:
        return ""  # "alcohol free beer"
    if known & TAGS.nots_feelings and felt and FEELINGS.get(word) in TAGS.well:
        return "ill"  # "not feeling great"
    if known & {"not", "no", "never"} and word in ("hungry", "tired", "thirsty", "stressed"):
        return ""
    told = (
        felt or only or (word not in ONLY_FELT and not known & TAGS.eaten and len(clause.words) <= MOST_WORDS)
    )
    others = {
        w
        for w in known - TAGS.felt_feelings - TAGS.feeling_too - FEELINGS.keys()
        if not (told and is_plain(w))
    }
    if not word and felt:
        return _felt_word(clause.words)
    if not word or len(others) > (0 if word in ONLY_FELT else _MOST_OTHER_WORDS):
        return ""
    return FEELINGS[word]


def _felt_word(words: Sequence[str]) -> str:
    """Return the word behind "feeling" where that is no feeling known here ("feeling really meh")."""
    start = next(i for i, word in enumerate(words) if word in TAGS.felt_feelings) + 1
    rest = [word for word in words[start:] if word not in TAGS.how_much]
    told = bool(rest) and rest[0].isalpha() and rest[0] not in TAGS.no_feeling and len(words) <= MOST_WORDS
    return rest[0] if told else ""


CUES = (
    frozenset(FEELINGS).union(*(word for phrase, _ in _PHRASES for word in phrase))
    | TAGS.felt_feelings
    | TAGS.feeling_too
    | TAGS.night
    | TAGS.bad
)
CUES |= _SORE | TAGS.body | TAGS.like_death | TAGS.tossed | TAGS.drinks | {"wine"}
"""Words that belong to a feeling."""
