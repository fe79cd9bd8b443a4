"""Clauses about how the person felt and what may move glucose: tired, ill, stressed, period, alcohol."""

import tomllib
from collections import defaultdict
from collections.abc import Sequence
from importlib.resources import files

from bot.understanding.pieces.drafts import Draft, moment_of
from bot.understanding.pieces.pieces import Amount, Clause, Moment, SlotWord, word_at
from bot.understanding.states.activities import is_kin
from bot.understanding.words.plain_words import is_plain
from bot.understanding.words.wordlists import word_set

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
_WELL = frozenset({"good", "great", "fine", "rested"})
_HURTING = word_set(
    "pain pains ache aches hurting hurts hurt painful killing throbbing stuffed buggered screaming burning"
)
_SORE = _HURTING | {"stiff", "sore", "aching", "achy"}
_BODY = word_set(
    "back neck legs leg feet foot knee knees hip hips shoulder shoulders arm arms muscles calves"
)
_NOT = word_set("not no never don't dont didn't didnt isn't wasn't")
_DRINKS = word_set(
    "beer beers wine wines pint pints drink drinks gin gins cocktail cocktails shots whisky vodka"
)
_LIKE_DEATH = word_set("death hell crap shit garbage trash zombie dirt poo")
_FEVERS = frozenset({"fever"})
_FELT = word_set("feel felt feeling feels")
_FEELING_TOO = word_set(
    "i i'm im am was very bit so sooo really a the little quite have had got my started on day of at work "
    "today and been being still again some too after before since first slight slightly bad pretty in bed "
    "much all out pains super mega totally that just from day's days right new morning"
)
_CATCH = word_set("have got had getting catching caught having picked")
_EATEN = word_set("had ate eaten eating eat drank drinking have having")
_UNTIL = word_set("until till til since from")
MOST_WORDS, _MOST_WORDS_OF_PAIN = 8, 9
_MOST_OTHER_WORDS = 2
_NIGHT = word_set("night sleep slept sleeping nights")
_BAD = word_set(
    "bad badly poor poorly terribly terrible awful awfully restless rough broken short "
    "interrupted barely hardly rubbish dreadful grim rotten crook lousy ropey ropy horrible horrid hellish"
)
_GOOD = word_set("well great good brilliantly soundly")
_SO_OFTEN = word_set("times twice thrice constantly hourly")
_WOKEN = word_set("woken waking awake up crying cried")
_TOSSED = word_set("tossed tossing turned turning")
_SLEEPLESS = (frozenset({"couldn't", "sleep"}), frozenset({"no", "sleep"}), frozenset({"sleepless"}))
_SLEEPLESS_TOO = (
    frozenset({"couldnt", "sleep"}),
    frozenset({"didn't", "sleep"}),
    frozenset({"can't", "sleep"}),
    frozenset({"cant", "sleep"}),
    frozenset({"didnt", "sleep"}),
)


def read_feeling(clause: Clause) -> Draft | None:
    """Read how the person felt: "tired", "felt dizzy at 15:00", "bad night", "slept badly"."""
    known = set(clause.words) | {word.removesuffix("'s") for word in clause.words}
    phrase = _of_phrase(known)
    night = _read_night(known) or ("bad night" if phrase == "bad night" else "")
    if _is_of_others(clause.words) and not night:
        return None
    if night and "slept" in known and _spans(clause):
        return None  # "slept 8:30 to 3 pretty good": when tells more than how
    if known & _FELT and "like" in known and known & _LIKE_DEATH:
        return Draft("feeling", clause, "awful", moment=moment_of(clause))
    if (
        not night
        and "awake" in known
        and any(getattr(p, "until", None) or getattr(p, "low", None) for p in clause.pieces)
    ):
        night = "bad night"
    drinks = any(isinstance(p, SlotWord) and p.slot == "drink" for p in clause.pieces)
    if (known & _DRINKS or drinks) and "too" in known and known & {"many", "much"}:
        return Draft("feeling", clause, "alcohol", moment=moment_of(clause))
    if night:
        moment = moment_of(clause)
        told_after = moment is not None and not moment.has_clock and moment.part in ("night", "tonight")
        return Draft("feeling", clause, night, moment=None if told_after else moment)
    name = phrase or _named(clause, known)
    if not name and known & _SORE and known & _BODY and len(known) <= _MOST_WORDS_OF_PAIN:
        name = "pain" if known & _HURTING else "achy"
    counted = [
        p
        for k, p in enumerate(clause.pieces)
        if isinstance(p, Amount)
        and word_at(clause.pieces, k - 1) not in _UNTIL
        and not (p.vague or p.article or (p.size and not p.unit) or ("cold" in known and p.unit == "whole"))
    ]
    if not name or (counted and name not in _FEVERS and not (name in ("period", "ill") and "day" in known)):
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
    words = [p.text for p in clause.pieces if not isinstance(p, Moment | Amount) and hasattr(p, "text")]
    others = [w for w in words if w not in FEELINGS and w not in _NOT and not is_plain(w)]
    if _spans(clause):
        return False  # "slept 10 to 5, not great"
    return bool(_NOT & set(words[:3])) and bool(FEELINGS.keys() & set(words)) and not others


def _is_of_others(words: Sequence[str]) -> bool:
    """Tell whether somebody else felt so: "daughter has fever", "my son is ill"."""
    first = next((word for word in words if word != "my"), "")
    told = bool({"has", "is", "was", "had", "feels", "felt", "got"} & set(words))
    return is_kin(first) and told and not {"i", "i'm", "me"} & set(words)


def _read_night(known: set[str]) -> str:
    if known & _NIGHT and known & _BAD:
        return "bad night"
    often = "woke" in known or (known & _WOKEN and any(map(is_kin, known)))
    if (known and known <= _TOSSED) or (often and known & _SO_OFTEN):
        return "bad night"
    if any(words <= known for words in _SLEEPLESS + _SLEEPLESS_TOO):
        return "bad night"
    if "slept" not in known or not known & _GOOD:
        return ""
    return "bad night" if known & _NOT else "good night"


def _of_phrase(known: set[str]) -> str:
    """Return the name of the first phrase whose words are all there, "" where none is."""
    near = {k for word in known for k in _BY_WORD.get(word, ())}
    return next((_PHRASES[k][1] for k in sorted(near) if all(known & w for w in _PHRASES[k][0])), "")


def _named(clause: Clause, known: set[str]) -> str:
    felt = bool(known & _FELT)
    only = bool(known & _HOW_MUCH) and known <= _HOW_MUCH | FEELINGS.keys()  # "very happy"
    names = [
        w
        for w in clause.words
        if w in FEELINGS
        and (felt or w not in ONLY_FELT or (only and FEELINGS[w] not in _WELL))  # not "so good"
    ]
    word = next((w for w in names if FEELINGS[w] not in _WELL), names[0] if names else "")
    article = any(isinstance(p, Amount) and p.article for p in clause.pieces) or "a" in known
    if "cold" in known and any(isinstance(p, Amount) and p.unit == "whole" for p in clause.pieces):
        return "ill"  # "with a head cold"
    if "cold" in known and article and known & _CATCH and all(map(is_plain, known)):
        return "ill"
    if FEELINGS.get(word) == "alcohol" and known & {"free", "non", "no", "without", "zero"}:
        return ""  # "alcohol free beer"
    if known & _NOT and felt and FEELINGS.get(word) in _WELL:
        return "ill"  # "not feeling great"
    if known & {"not", "no", "never"} and word in ("hungry", "tired", "thirsty", "stressed"):
        return ""
    told = felt or only or (word not in ONLY_FELT and not known & _EATEN and len(clause.words) <= MOST_WORDS)
    others = {w for w in known - _FELT - _FEELING_TOO - FEELINGS.keys() if not (told and is_plain(w))}
    if not word and felt:
        return _felt_word(clause.words)
    if not word or len(others) > (0 if word in ONLY_FELT else _MOST_OTHER_WORDS):
        return ""
    return FEELINGS[word]


_HOW_MUCH = word_set("so really very a bit pretty kinda rather quite super totally all too still little")
NO_FEELING = word_set(
    "like the that it this my your for as about in up on off to of and with more much better after "
    "before how i "
    "we you what not full stuffed down"
)


def _felt_word(words: Sequence[str]) -> str:
    """Return the word behind "feeling" where that is no feeling known here ("feeling really meh")."""
    start = next(i for i, word in enumerate(words) if word in _FELT) + 1
    rest = [word for word in words[start:] if word not in _HOW_MUCH]
    told = bool(rest) and rest[0].isalpha() and rest[0] not in NO_FEELING and len(words) <= MOST_WORDS
    return rest[0] if told else ""


CUES = (
    frozenset(FEELINGS).union(*(word for phrase, _ in _PHRASES for word in phrase))
    | _FELT
    | _FEELING_TOO
    | _NIGHT
    | _BAD
)
CUES |= _SORE | _BODY | _LIKE_DEATH | _TOSSED | _DRINKS | {"wine"}
"""Words that belong to a feeling."""
