"""Settings in words: “turn the reminders off” and “I sleep 17:30 to 0:45” -> what is to be set. Pure."""

import re
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from bot.model.entries import Setting
from bot.model.zones import find_zones
from bot.understanding.settings.clocks import DAY_MIN, clocks_in, lengths_in, night_of, span_of, write
from bot.understanding.words.cues import Found
from bot.understanding.words.lexicon import TAGS

LONGEST_PLACE = 3
EVENING, LATE = 20 * 60 + 30, 5 * 60
"""A night begins at half past eight at the earliest, and so many minutes later at the latest."""
_SHIFTS = re.compile(
    r"\b(?:(?<!off )(early|late|night|day|morning|evening|middle|off) shifts?"
    r"|(?:on |i do |doing |working )?(nights|lates|earlies))\b(.*)"
)
_FROM_DAY = re.compile(
    r"\b(?:from|starting|on|starts?) (?:on )?(tomorrow|\d{4}-\d\d-\d\d|(?:mon|tues?|wed(?:nes)?"
    r"|thu(?:rs)?|fri|sat(?:ur)?|sun)(?:day)?)\b"
)
_PLEASE = r"(?: please| for me| from now on| thanks)*"
_NO = r"(?:please )?(?:no(?: more)?|stop|end|mute|skip|without|drop)"
_WANT = r"(?:i'd like|i want|send me|give me|bring back|turn on|start|resume)"
_EACH = r"(?:again|on|back|(?:every|each) (?:week|day|evening))"
_THE_REVIEW = r"(?:the |my |these |those |your )?(?:weekly |week's )?(?:review|recap)s?"
_THE_LINE = r"(?:the |an? |my |that |your )?(?:evening|nightly|end of day|daily) (?:lines?|notes?|wrap up)"
_NO_REVIEWS = re.compile(f"{_NO} {_THE_REVIEW}{_PLEASE}")
_REVIEWS = re.compile(f"(?:{_WANT} )?{_THE_REVIEW} {_EACH}{_PLEASE}|{_WANT} {_THE_REVIEW}{_PLEASE}")
_NO_EVENING = re.compile(f"{_NO} {_THE_LINE}{_PLEASE}")
_EVENING_LINE = re.compile(
    f"(?:{_WANT} )?{_THE_LINE} {_EACH}{_PLEASE}|{_WANT} {_THE_LINE}{_PLEASE}|{_THE_LINE}(?: please)"
)
_RATHER_THAN = r"(?:not|no|instead of|rather than|over|off|out of|away from|from)"
_FROM_NOW_ON = re.compile(
    r"\b(?:switch|change|from now on|in future|instead|rather|prefer|convert|use|set|show|display|put"
    r"|give me)\b"
)
_STOP_ALL = re.compile(
    r"\b(?:stop|turn off|switch off|cancel|disable|mute|end|no more|get rid of)"
    r" (?:(?:all|the|these|those|your|my|of|sending|any) )*(?:reminders?|notifications?|alerts?|nudges)\b"
    r"(?! (?:for|about|at|between|after|before|until|till|when|while|during|on|except|but|other))"
)
"""All of them, whatever else is said of how many there are."""
_ASKS_FOR = re.compile(r"(?:no|nope|nah)\W+(?:please )?(?:do )?(?:remind|ask|nudge|ping) me\b(?! no)")
"""“No, remind me” is no wish for fewer."""
_ABOUT_MEALS = re.compile(
    r"\b(?:after|about|at|around|during|for|when i) (?:(?:my|every|each|the|i|any|have) )*"
    r"(?:meals?|food|eat|eating|ate|eaten|breakfast|lunch|dinner|supper|snacks?)\b"
)
_ENDS = ("after", "past", "from", "before")
"""What says at which hour reminders are to end or begin again; the other end of the night stays as it is."""
_UNIT_WORDS = {"mgdl": "mg", "mmol": "mmol"}
_FORGET = re.compile(r"(?:please )?forget (?:that|about) (?:i |my |me )(.+)")
"""“Forget that I take metformin”: one fact only."""
_BY_HALVES = re.compile(
    r"\b(?:(?:12|twelve)[- ]?h(?:ou?rs?)? (?:clock|times?|format)"
    r"|(?:use|write|show|want|prefer|switch to|give me|rather have|change to) (?:times? (?:in|with|as) )?"
    r"(?:am ?(?:/|and|or) ?pm|am ?pm))\b"
)
_BY_DAY = re.compile(
    r"\b(?:(?:24|twenty[- ]four)[- ]?h(?:ou?rs?)? (?:clock|times?|format)|military (?:time|clock)"
    r"|(?:no|not|without|stop using|do not use|don't use) (?:am ?(?:/|and|or) ?pm|am ?pm))\b"
)
"""Wishes for a clock of twelve hours, and of 24."""
_PLURAL = {"nights": "night", "lates": "late", "earlies": "early"}
_WEEKDAY = re.compile(r"\b(mon|tues|wednes|thurs|fri|satur|sun)days?\b|\b(mon|tue|wed|thu|fri|sat|sun)\b")
_DAY_NAMES = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


@dataclass(frozen=True, slots=True)
class Told:
    """A stretch that may tell a setting or a fact: its text in lower case, its words, its cues."""

    text: str
    words: list[str]
    found: Found
    zone: str = ""

    def has(self, *names: str) -> bool:
        """Tell whether all of these cues were seen."""
        return self.found.names.issuperset(names)

    def any(self, *names: str) -> bool:
        """Tell whether any of these cues was seen."""
        return not self.found.names.isdisjoint(names)


def settings_in(told: Told) -> Iterator[tuple[Setting, float]]:
    """Yield the settings in a stretch, each with its cost."""
    for read in _READERS:
        yield from read(told)


def _erase(told: Told) -> Iterator[tuple[Setting, float]]:
    named = _FORGET.match(told.text)
    if told.has("erase"):
        yield Setting("erase"), 0.2
    elif named is not None:
        yield Setting("erase", named[1].strip(" .!")), 0.2


def _remind(told: Told) -> Iterator[tuple[Setting, float]]:
    """Yield how often to remind: again before less before not at all, where several are said."""
    if told.has("stop_alone"):
        yield Setting("remind", "off"), 0.3
    elif told.has("reminders") and not _ASKS_FOR.match(told.text):
        end = _end_of_quiet(told.text)
        if end or (told.has("asleep_only") and len(clocks_in(told.text)) < 2):
            yield Setting("quiet", end), 0.5
        elif _STOP_ALL.search(told.text):
            yield Setting("remind", "off"), 0.3
        elif told.has("less") or (told.has("stop") and _ABOUT_MEALS.search(told.text)):
            yield Setting("remind", "less"), 0.4
        elif told.has("again"):
            yield Setting("remind", "on"), 0.4
        elif told.has("stop") and not told.has("hush"):
            yield Setting("remind", "off"), 0.4


def _end_of_quiet(text: str) -> str:
    """Return the one hour of "no reminders after 9" as "21:00-", of "before 7" as "-07:00"; "" for none."""
    clocks = clocks_in(text)
    said = next((w for w in _ENDS if len(clocks) == 1 and text[clocks[0].start :].startswith(f"{w} ")), "")
    if not said or clocks[0].joined:
        return ""
    if said == "before":
        return f"-{write(clocks[0].minute)}"
    late = clocks[0].loose and clocks[0].minute < DAY_MIN // 2
    return f"{write(clocks[0].minute + (DAY_MIN // 2) * late)}-"


def _looking_back(told: Told) -> Iterator[tuple[Setting, float]]:
    """Yield whether the week is to be looked back on by itself, and the day each evening."""
    said = told.text.strip(" .!")
    if _NO_REVIEWS.fullmatch(said) or _REVIEWS.fullmatch(said):
        yield Setting("reviews", "off" if _NO_REVIEWS.fullmatch(said) else "on"), 0.1
    elif _NO_EVENING.fullmatch(said) or _EVENING_LINE.fullmatch(said):
        yield Setting("evening", "off" if _NO_EVENING.fullmatch(said) else "on"), 0.1


def _quiet(told: Told) -> Iterator[tuple[Setting, float]]:
    """Yield the hours of sleep, or those not to be disturbed in."""
    surely = told.has("hush")
    if not surely and (
        not told.has("sleep") or told.has("past") or not (told.has("habit") or _says_now(told))
    ):
        return
    clocks = clocks_in(told.text)
    begins = re.search(r"\b(?:asleep|sleep|in bed|to bed|turn in|bedtime)\b", told.text)
    behind = [
        k for k, clock in enumerate(clocks[:-1]) if begins is not None and clock.start >= begins.start()
    ]
    joined = next((k for k, clock in enumerate(clocks[:-1]) if clock.joined), behind[0] if behind else 0)
    if behind and joined < behind[0]:
        joined = behind[0]
    if len(clocks) - joined < 2:
        return
    pair = clocks[joined], clocks[joined + 1]
    span = night_of(*pair)
    if not told.has("sleep") and (span is None or (span[0] - EVENING) % DAY_MIN >= LATE):
        span = span_of(*pair, shortest=60, longest=840)
    if span is not None:
        yield Setting("quiet", f"{write(span[0])}-{write(span[1])}"), 0.3 if surely else 0.6


def _says_now(told: Told) -> bool:
    """Tell whether somebody says how they sleep: "I sleep 17:30 to 0:45", "my sleep is"."""
    return (
        re.search(
            r"\b(?:i (?:(?:work|do) nights (?:and |so )?(?:i )?)?(?:go to |go )?(?:am )?sleep"
            r"|my (?:sleep|bedtime|night)(?! (?:was|lasted|went|ran))|i am asleep|i turn in"
            r"|i go to bed)\b",
            " ".join(told.words),
        )
        is not None
    )


def _sensor(told: Told) -> Iterator[tuple[Setting, float]]:
    """Yield how long the sensor lasts and keeps readings, and how long before they are lost to ask."""
    lengths = lengths_in(told.text)
    lead = None
    if told.has("lead") and lengths:
        lead = next(
            (each for each in reversed(lengths) if _stands_before(each, told.text)),
            lengths[0] if len(lengths) == 1 else None,
        )
        if lead is not None:
            yield Setting("lead", f"{lead[0]:g} min"), 0.4
    rest = [length for length in lengths if (length is not lead)]
    if not rest or not told.has("about_sensor"):
        return
    if told.has("memory") and rest[0][0] >= 30:
        yield Setting("memory", f"{rest[0][0] / 60:g} h"), 0.5
    elif told.has("life") and rest[0][0] >= 24 * 60:
        yield Setting("sensor", f"{rest[0][0] / 24 / 60:g} days"), 0.6


def _stands_before(length: tuple[float, int], text: str) -> bool:
    """Tell whether a length is of a warning: "2 hours heads up", "an hour before", "warn me 2 hours"."""
    behind = text[length[1] :][:40]
    return re.match(
        r"[\w.,]+\s*\w+\s*(?:and a half\s*)?(?:heads|before|in advance|ahead|notice|warning|lead)", behind
    ) is not None or bool(
        re.search(r"(?:warn me|lead(?: time)?(?: of| to)?|notice of|warning of)\s*$", text[: length[1]])
    )


def _unit(told: Told) -> Iterator[tuple[Setting, float]]:
    """Yield the unit that is wished for; a value with its unit is a reading."""
    wished = [
        name
        for name in ("mgdl", "mmol")
        if told.has(name)
        and not re.search(rf"\b{_RATHER_THAN} (?:in )?(?:the )?{_UNIT_WORDS[name]}", told.text)
    ]
    named = re.search(r"\b(?:in|to|into|as|use|prefer) (?:the )?(mg|mmol)", told.text)
    if len(wished) == 2 and named is not None:
        wished = ["mgdl" if named[1] == "mg" else "mmol"]
    if len(wished) != 1 or not told.has("to_unit"):
        return
    if re.search(r"\d\s*(?:mg|mmol)", told.text):
        return
    cost = 0.05 if _FROM_NOW_ON.search(told.text) else 0.4
    yield Setting("unit", "mg/dL" if wished == ["mgdl"] else "mmol/L"), cost


def _clock(told: Told) -> Iterator[tuple[Setting, float]]:
    """Yield the clock, of 12 or 24 hours, that times are to be written by."""
    if _BY_DAY.search(told.text):
        yield Setting("clock", "24"), 0.2
    elif _BY_HALVES.search(told.text):
        yield Setting("clock", "12"), 0.2


def _week(told: Told) -> Iterator[tuple[Setting, float]]:
    day = _WEEKDAY.search(told.text)
    if told.has("week") and day is not None:
        start = (day[1] or day[2])[:3]
        yield Setting("week", next(name for name in _DAY_NAMES if name.startswith(start))), 0.2


def _zone(told: Told) -> Iterator[tuple[Setting, float]]:
    """Yield the clock of the place that somebody says to be in."""
    if not told.has("travel"):
        return
    found = list(_places(told.words))
    if found:
        yield Setting("zone", found[-1]), 0.5


def _places(words: list[str]) -> Iterator[str]:
    """Yield the zones that words name, the surest last: a clock ("eastern") says more than a city."""
    for i, word in enumerate(words):
        for end in range(min(len(words), i + LONGEST_PLACE), i, -1):
            name = " ".join(words[i:end])
            zones = find_zones(name) if len(name) > 3 and word not in ("time", "may") else []
            known = _clock_names().get(name)
            there = (i > 0 and words[i - 1] in TAGS.there) or " ".join(words[end : end + 1]) in (
                "time",
                "clock",
            )
            if there and (known or len(zones) == 1):
                yield known or zones[0]
                break


@cache
def _clock_names() -> dict[str, str]:
    text = files(__package__ or "").joinpath("places.toml").read_text(encoding="utf-8")
    return {name.strip(): zone for zone, names in tomllib.loads(text).items() for name in names.split(",")}


def _shift(told: Told) -> Iterator[tuple[Setting, float]]:
    """Yield the shift that begins, "late Thursday", and its hours of quiet where they are said."""
    found = _SHIFTS.search(told.text)
    if found is None or told.has("past"):
        return
    name = found[1] or _PLURAL[found[2]]
    day = _FROM_DAY.search(told.text)
    alone = found[1] and set(told.words) <= TAGS.shift_alone
    if day is not None or alone:
        yield Setting("shift", f"{name} {day[1] if day else ''}".strip()), 0.5


_READERS: tuple[Callable[[Told], Iterator[tuple[Setting, float]]], ...] = (
    _erase, _looking_back, _remind, _quiet, _sensor, _unit, _clock, _week, _zone, _shift,
)  # fmt: skip
