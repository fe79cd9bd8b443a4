"""Which meal a correction names: "delete yesterday's lunch", "breakfast was at 7:10", "add jam to breakfast".

The name is taken out of the words, so that what is left is a correction of any meal: "lunch was at 11:30 not
11" is "it was at 11:30 not 11" about lunch. Each pattern is tried in order; the first that fits counts.
"""

import re
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from bot.model.entries import Meal, Slot
from bot.understanding.slots import SLOT_WORDS

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_DAY = (
    "(?:the day before yesterday|yesterday|today|last night|tonight|this morning|"
    rf"(?:last )?(?:{'|'.join(_WEEKDAYS)}))"
)
_SLOT = rf"(?:{'|'.join(sorted(SLOT_WORDS, key=len, reverse=True))})"
_OPENED = (
    r"(?P<open>(?:no|nope|sorry|oops|wait|ah|oh|actually|correction|wrong|i mean|i meant|hang on|"
    r"hold on|my bad|"
    r"my mistake|i made a mistake|i misspoke|apologies|my apologies|i was wrong|i got that wrong|"
    r"please|can you|could you)[ ,:;.!-]+)*"
)
_AT = r"(?:at|for|from|in|with|on|of|to|into|off|out of)"


def _named(n: int) -> str:
    """Return the pattern of a meal's name with its day before or behind it."""
    return (
        rf"(?:the |my |that |this )?(?:(?P<day{n}>{_DAY})(?:'?s)? )?(?P<slot{n}>{_SLOT})"
        rf"(?:,? (?:from |on |of )?(?P<later{n}>{_DAY}))?"
    )


_HOUR = r"(?:\d{1,4}(?:[:.h]\d\d)?|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve)"
_CLOCK = (
    r"(?:at |around |about |more like |closer to |nearer |nearer to |really |actually |just after |"
    r"just before )*"
    rf"(?P<when>(?:(?:a )?(?:half|quarter|ten|twenty|five|\d+)(?: past| to)? )?{_HOUR}"
    r"(?: ?(?:am|pm|o'?clock|ish|in the (?:morning|evening|afternoon)))?|noon|midday|midnight)"
)

_PATTERNS: tuple[tuple[re.Pattern[str], str], ...] = tuple(
    (re.compile(_OPENED + pattern), rest)
    for pattern, rest in (
        (
            rf"(?:delete|remove|cancel|undo|scrap|erase|forget|take back|scratch) {_named(1)}(?: please)?",
            "undo",
        ),
        (rf"(?:change|move|make) {_named(1)} (?:to|into|a) (?P<other>{_SLOT})", "that was {other}"),
        (
            rf"(?P<doing>(?:add|put|remove|delete|take out|take off|swap|replace|change|forgot|i "
            rf"forgot) (?!it |that |this )"
            rf".+?),? {_AT} {_named(1)}(?: please| too| as well)?",
            "{doing}",
        ),
        (rf"(?:move|shift|change|set|make) {_named(1)} (?:to )?{_CLOCK}", "no, it was at {when}"),
        (
            rf"{_named(1)} (?:was|wasn't at .+?,? it was) {_CLOCK}(?P<told>,? (?:not|rather than|"
            rf"instead of) .+)?",
            "no, it was at {when}",
        ),
        (rf"{_named(1)} was (?P<moved>{_DAY}(?: (?:at )?.+)?)", "no, it was {moved}"),
        (rf"{_named(1)} was (?P<shift>[^,]+ (?:earlier|later)(?: than .+)?)", "{shift}"),
        (
            rf"{_named(1)} (?:was|were) (?P<what>(?:only |just |actually )*(?:\d|a |an |one |two |"
            rf"three |half ).+?)(?P<told>,? (?:not|rather than|instead of) .+)",
            "no, {what}{told}",
        ),
        (rf"{_named(1)} (?:was|were) (?P<not>not|n't|actually|really) (?P<what>.+)", "no, {not} {what}"),
        (
            rf"(?P<food>the .+?) {_AT} {_named(1)}(?: at \S+)? (?P<was>(?:was|were) .+)",
            "{food} {was}",
        ),
        (
            rf"(?P<food>the .+?) (?:from |of |on )?(?P<later1>{_DAY})(?:'s)?(?: at [^ ]+)? "
            rf"(?P<was>(?:was|were) .+)",
            "{food} {was}",
        ),
        (
            r"(?P<food>the .+?) (?:at|from) \d{1,2}(?:[:.]\d\d)?(?: ?[ap]m)? (?P<was>(?:was|were) .+)",
            "{food} {was}",
        ),
        (rf"{_AT} {_named(1)},? (?P<was>(?:it|that|the .+?) (?:was|were) .+)", "{was}"),
        (
            rf"(?:swap|replace|change) (?P<old>.+?) (?:for|with|to) (?P<new>.+?) {_AT} {_named(1)}",
            "swap {old} for {new}",
        ),
    )
)
MOST_CHARS = 200


@dataclass(frozen=True, slots=True)
class Target:
    """A meal that a correction names, by its slot, its day or both, and the correction without the name.

    surely: the words can be nothing but a correction; if not, only where such a meal was noted
    """

    slot: Slot | None
    day: date | None
    rest: str
    surely: bool


def find_target(text: str, zone: ZoneInfo, now: datetime) -> Target | None:
    """Return the meal that a correction names, None for what names none or is no correction."""
    if len(text) > MOST_CHARS:
        return None
    plain = " ".join(text.lower().replace("’", "'").split()).rstrip(" .!")
    if plain.endswith("?"):
        return None
    for pattern, rest in _PATTERNS:
        match = pattern.fullmatch(plain)
        if match is None:
            continue
        said = match.groupdict()
        slot = said.get("slot1")
        day = _day(said.get("day1") or said.get("later1") or "", now.astimezone(zone).date())
        surely = (
            bool(said.get("open") or said.get("told")) or "when" not in said or not rest.startswith("no,")
        )
        filled = rest.format(**{name: value or "" for name, value in said.items()})
        return Target(SLOT_WORDS[slot] if slot else None, day, filled, surely)
    return None


def is_meant(meal: Meal, target: Target, zone: ZoneInfo) -> bool:
    """Tell whether a meal is the one named, as far as slot and day tell."""
    if target.slot is not None and meal.slot != target.slot:
        return False
    return target.day is None or (meal.at is not None and meal.at.astimezone(zone).date() == target.day)


def _day(said: str, today: date) -> date | None:
    if not said:
        return None
    if said in ("today", "tonight", "this morning"):
        return today
    if said in ("yesterday", "last night"):
        return today - timedelta(days=1)
    if said == "the day before yesterday":
        return today - timedelta(days=2)
    behind = (today.weekday() - _WEEKDAYS.index(said.removeprefix("last "))) % 7
    return today - timedelta(days=behind or (7 if said.startswith("last") else 0))
