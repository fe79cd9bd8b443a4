"""Routines that somebody told: on which days, when, for how long, and whether it is sitting or moving. Pure.

“Weekdays I sit at the desk from 9 to half 12” is kept as the fact "desk; mon-fri; 09:00-12:30"; here it
becomes something that can be counted, and “no training today” is a day on which one was not kept.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from bot.model.entries import Fact
from bot.understanding.settings.clocks import DAY_MIN, WEEKDAYS, clocks_in, lengths_in
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.movements import MOVEMENTS
from bot.understanding.words.plain_words import is_plain

Kind = Literal["sitting", "light", "walk", "exercise", ""]
_DAYS = {"mon-fri": range(5), "mon-sun": range(7)}
_SPAN = re.compile(r"(\d\d):(\d\d)(?:-(\d\d):(\d\d))?")
_BESIDE = re.compile(r"(before|after) (breakfast|lunch|dinner)")
_SHORTEST_MIN, _LONGEST_MIN = 5, 14 * 60
MOST_WORDS = 9
_SKIPPED = TAGS.denied | TAGS.skipped_routines
_OFF = ({"fell", "through"}, {"called", "off"}, {"day", "off"}, {"off", "work"}, {"off", "sick"})
_DONE = re.compile(r"\bdid\b(?! not)|\b(?:done|but|though|instead)\b")
_DAY_NAMES = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


@dataclass(frozen=True, slots=True)
class Routine:
    """What is done on the same days at the same time.

    value: as the fact has it; what: in a few words; days: 0 = Monday; start: minute of the day, None where it
    is `beside` a meal ("after dinner") or at no time that is known; minutes: None = not said
    kind: "" where it is neither sitting nor movement that is known here
    """

    value: str
    what: str
    days: frozenset[int]
    start: int | None
    minutes: float | None
    beside: str
    kind: Kind

    @property
    def counts(self) -> bool:
        """Whether it can be assumed around meals."""
        return bool(self.kind and self.days and (self.start is not None or self.beside))

    @property
    def name(self) -> str:
        """What it is called behind “no”: training, bathing twins, desk."""
        first, *rest = [word for word in self.what.split() if word not in TAGS.lengths] or [self.what]
        verb = (
            first in MOVEMENTS
            or first in TAGS.light | TAGS.exercise
            or first in ("drive", "read", "study", "sit")
        )
        if not verb or first.endswith("ing") or first in TAGS.names_routines:
            return " ".join([first, *rest])
        return " ".join([_with_ing(first), *rest])


def _with_ing(verb: str) -> str:
    if verb.endswith("e") and not verb.endswith("ee"):
        return f"{verb[:-1]}ing"
    double = re.fullmatch(r"[a-z]*[^aeiou][aeiou][bdgmnpt]", verb) is not None
    return f"{verb}{verb[-1] if double and verb != 'iron' else ''}ing"


def read_routine(fact: Fact) -> Routine:
    """Read what a fact says of a routine.

    >>> one = read_routine(Fact("routine", "train; tue,sat; 12:00", "train at noon, Tuesdays and Saturdays"))
    >>> sorted(one.days), one.start, one.kind, one.name
    ([1, 5], 720, 'exercise', 'training')
    """
    what, days, when = (*(part.strip() for part in fact.value.split(";")), "", "", "")[:3]
    span = _SPAN.fullmatch(when)
    beside = _BESIDE.fullmatch(when)
    start = None if span is None else int(span[1]) * 60 + int(span[2])
    minutes: float | None = None
    if span is not None and start is not None and span[3]:
        minutes = float((int(span[3]) * 60 + int(span[4]) - start) % DAY_MIN)
    else:
        said = [length for length, _ in lengths_in(fact.said) if _SHORTEST_MIN <= length <= _LONGEST_MIN]
        minutes = said[0] if said else None
    named = _DAYS.get(days)
    each = named if named is not None else (WEEKDAYS.index(d) for d in days.split(",") if d in WEEKDAYS)
    return Routine(
        fact.value, what, frozenset(each), start, minutes, beside[0] if beside else "", _kind_of(what)
    )


def _kind_of(what: str) -> Kind:
    words = what.split()
    for word in words:
        known = MOVEMENTS.get(word) or MOVEMENTS.get(word.removesuffix("s"))
        if known is not None and word not in TAGS.light:
            return "walk" if known[0] == "walk" else "exercise"
    if TAGS.exercise & set(words):
        return "exercise"
    if TAGS.light & set(words):
        return "walk" if words[0] in ("dog", "pram") else "light"
    return "sitting" if TAGS.sitting & set(words) else ""


def skips_in(text: str, routines: Sequence[Routine], today: date) -> tuple[list[Routine], date] | None:
    """Return the routines that words say were not kept, and on which day; None where they say no such thing.

    No routine where the words mean one that is not of that day.

    Only a whole sentence that holds nothing else counts: “no training today”, “didn't bathe the twins”.
    """
    said = text.lower().replace("’", "'")
    words = re.findall(r"[a-z']+", said)
    if not 1 < len(words) <= MOST_WORDS or re.search(r"\d|\?", said) or clocks_in(said):
        return None
    own = set(words)
    off = any(pair <= own for pair in _OFF)
    day = _day_of(words, today)
    known_ones = [one for one in routines if one.counts]
    due = [one for one in known_ones if day.weekday() in one.days]
    seated = bool(own & TAGS.not_seated) or {"day", "off"} <= own or {"off", "work"} <= own
    shared = {one: len(_stems(one.what.split()) & _stems(words)) for one in known_ones}
    most = max(shared.values(), default=0)
    skipped = bool(own & _SKIPPED) or off
    meant = [one for one in known_ones if skipped and shared[one] == most > 0]
    if not meant and seated:
        meant = [one for one in known_ones if one.kind == "sitting"]
    known = {word for one in meant for word in words if _stem(word) in _stems(one.what.split())}
    rest = own - known - _SKIPPED - TAGS.any_day - {word for pair in _OFF for word in pair} - TAGS.not_seated
    if not meant or _DONE.search(said) or not all(is_plain(word) for word in rest):
        return None
    return [one for one in meant if one in due], day


def _day_of(words: Sequence[str], today: date) -> date:
    """Return the day that is named, today where none is; of a weekday the last one."""
    if "yesterday" in words or ("last" in words and "night" in words):
        return today - timedelta(days=1)
    for word in words:
        if word in _DAY_NAMES:
            return today - timedelta(days=(today.weekday() - _DAY_NAMES.index(word)) % 7)
    return today


def _stems(words: Sequence[str]) -> set[str]:
    return set(_stemmed(words))


def _stemmed(words: Sequence[str]) -> Iterator[str]:
    for word in words:
        if len(word) > 2 and not word.startswith(("the", "my")):
            yield _stem(word)


def _stem(word: str) -> str:
    """Return what “bathe”, “bathed” and “bathing” share.

    >>> {_stem(word) for word in ("train", "trained", "training")}, _stem("bathe") == _stem("bathing")
    ({'train'}, True)
    """
    for end in ("ing", "ed", "es", "s", "e"):
        if word.endswith(end) and len(word) - len(end) > 2:
            word = word.removesuffix(end)
            break
    return word[:-1] if len(word) > 3 and word[-1] == word[-2] else word
