"""A figure of an earlier year, “2021 by finger-prick I was at 4.6 fasting”: no reading of today's. Pure."""

import re
from collections.abc import Iterator
from datetime import date

from bot.model.entries import Fact
from bot.model.units import to_mmol

OLDER = "older fasting figure: "
"""How the value of such a fact begins; behind it stand mmol/L, the year and by what it was measured."""
LEAST_MMOL, MOST_MMOL = 2.0, 25.0
MG_FROM = 30.0
"""A larger number is in mg/dL where no unit is said."""
_YEAR = re.compile(r"(?<![\d.:])((?:19[89]|20\d)\d)(?![\d:.])")
_AGO = re.compile(r"\b(\d{1,2}|two|three|four|five|ten|a few) years ago\b")
_WORDS = {"two": 2, "three": 3, "four": 4, "five": 5, "ten": 10}
_VALUE = re.compile(r"(?<![\d.,:])(\d{1,3}(?:[.,]\d{1,2})?)(?![\d:])\s*(mmol(?:/l)?|mg(?:/dl)?)?(?!\s*years)")
_FASTING = re.compile(r"\b(?:fasting|fasted|fast|before breakfast|on waking|empty stomach|mornings?)\b")
_PAST = re.compile(r"\b(?:was|were|had|used to|came out|measured|showed|read|back in|in)\b")
_BY = (
    (re.compile(r"\b(?:finger|prick|meter|strip)"), "finger-prick"),
    (re.compile(r"\b(?:lab|blood test|doctor|gp|clinic|hospital)\b"), "blood test"),
    (re.compile(r"\b(?:sensor|cgm)\b"), "sensor"),
)


def older_in(text: str, today: date) -> Iterator[tuple[Fact, float]]:
    """Yield the fasting figure of an earlier year that a stretch tells, with its cost.

    >>> next(older_in("2021 by finger-prick i was at 4.6 fasting", date(2026, 3, 2)))[0].value
    'older fasting figure: 4.6; 2021; finger-prick'
    """
    year = _YEAR.search(text)
    ago = None if year is not None else _AGO.search(text)
    if not _FASTING.search(text) or not _PAST.search(text) or (year is None and ago is None):
        return
    when = year[1] if year is not None else _year_of(ago[1] if ago is not None else "", today)
    if not when or int(when) >= today.year:
        return
    rest = text if year is None else text[: year.start()] + text[year.end() :]
    found = [mmol for each in _VALUE.finditer(rest) if (mmol := _mmol(each)) is not None]
    if len(found) != 1:
        return
    by = next((name for pattern, name in _BY if pattern.search(text)), "")
    yield Fact("other", f"{OLDER}{found[0]:.1f}; {when}; {by}"), 0.1


def _year_of(words: str, today: date) -> str:
    """Return the year so many years ago, "" where it is not said exactly."""
    number = _WORDS.get(words) or (int(words) if words.isdecimal() else 0)
    return str(today.year - number) if number else ""


def _mmol(found: re.Match[str]) -> float | None:
    value, unit = float(found[1].replace(",", ".")), found[2] or ""
    in_mg = unit.startswith("mg") or (not unit and value > MG_FROM)
    mmol = to_mmol(value, "mg/dL" if in_mg else "mmol/L")
    return mmol if LEAST_MMOL <= mmol <= MOST_MMOL else None


def read_older(fact: Fact) -> tuple[float, str, str] | None:
    """Return mmol/L, year and means of a fact that is an older figure, None of another."""
    if not fact.value.startswith(OLDER):
        return None
    mmol, year, by = (part.strip() for part in fact.value.removeprefix(OLDER).split(";"))
    return float(mmol), year, by
