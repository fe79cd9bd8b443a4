"""What makes a curve less sure, as clauses: the flags of `analysis`, worded for people."""

import re

from analysis.flags import DIP, FIRST_DAY, HIGH_START, TOGETHER
from bot.language.texts import later, say

_WORDED = (
    (re.escape(FIRST_DAY), later("it is the sensor's first day")),
    (re.escape(DIP), later("it looks as if you lay on the sensor")),
    (re.escape(HIGH_START), later("it was high already before the first bite")),
    (r"late bite: .* (?P<n>\d+) min before it", later("the rise began about {n} min before the noted bite")),
    (
        rf"next meal after (?P<n>\d+) min, {TOGETHER}",
        later("the next meal came after {n} min and shares its curve"),
    ),
    (
        r"next meal after (?P<n>\d+) min, .*",
        later("the next meal came after {n} min, and I took its rise off"),
    ),
    (r"next meal after (?P<n>\d+) min", later("the next meal came after {n} min")),
    (
        rf"last meal (?P<n>\d+) min before, {TOGETHER}",
        later("the meal before was {n} min earlier and shares its curve"),
    ),
    (
        r"last meal (?P<n>\d+) min before, .*",
        later("the meal before was {n} min earlier, and I took its rise off"),
    ),
    (r"last meal (?P<n>\d+) min before", later("the meal before was {n} min earlier")),
    (r"more was eaten .*", later("you ate more than an hour later, which shares its curve")),
    (r"baseline still falling .*", later("your glucose was still falling before the first bite")),
    (r"baseline already rising .*", later("your glucose was already rising before the first bite")),
    (
        r"baseline from \d+ to (?P<n>\d+) min before: .*",
        later("when the rise began is not clear, so its baseline is from {n} min and more before"),
    ),
    (r"baseline from (?P<n>\d+) min before", later("its baseline is from {n} min before")),
    (
        r"baseline from (?P<n>\d+) min after .*",
        later("its baseline is from {n} min after the first bite"),
    ),
    (r"gap of (?P<n>\d+) min", later("its readings have a gap of {n} min")),
    (r"a reading only every (?P<n>\d+) min", later("there is a reading only every {n} min")),
    (r"readings stop at (?P<n>\d+) min", later("its readings stop after {n} min")),
    (r"a reading at the sensor's (?P<limit>\w+)", later("a reading is at the sensor's {limit}")),
)
_FLAGS = tuple((re.compile(pattern), text) for pattern, text in _WORDED)


def say_flag(flag: str) -> str:
    """Word a flag as a clause; one that nobody worded yet is said as it is."""
    for pattern, text in _FLAGS:
        found = pattern.fullmatch(flag)
        if found is not None:
            return say(text, **found.groupdict()) if found.groupdict() else say(text)
    return flag
