"""Glucose values as files write them: numbers in either unit, markers beyond the sensor's range, nothing."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import median

from bot.errors import BadFile
from bot.units import GlucoseUnit, to_mmol

LOWEST_MMOL, HIGHEST_MMOL = 1.0, 33.3
"""What is taken for a reading. 33.3 mmol/L (600 mg/dL) is the upper end of the glucose scale in the appendix
of Kovatchev's risk indices, whose lower end is 1.1; 1.0 is a round number below it (no source)."""

_VALUE = re.compile(r"([-+])?(\d{1,5}(?:[.,]\d+)?)\s*(mmol\s*/?\s*l?|mg\s*/?\s*dl|mg\s*%)?\s*[*!]?", re.I)
_MG = re.compile(r"mg ?/? ?dl|mg ?%|(?<![a-z])mg(?![a-z])")
_LONGEST = 60  # no value has more characters
_FLAG = re.compile(
    r"(?:lo|low|below|under|tief|niedrig|bas|bajo|basso|laag|hi|high|above|over|hoch|haut|alto|hoog)"
    r"(?:\s+(?:range|limit|\d.*))?"
    r"|[<>≤≥]\s*=?\s*\d.*",
    re.IGNORECASE,
)
_NOTHING = {"", "-", "--", "---", "nan", "null", "none", "n/a", "na", "nil", "."}
_MG_FROM = 36.0  # a middle of 36 mg/dL would be 2.0 mmol/L; one of 33.3 mmol/L or more is no reading


@dataclass(frozen=True, slots=True)
class Flag:
    """A marker instead of a number: the sensor was beyond its range."""


@dataclass(frozen=True, slots=True)
class Refused:
    """A cell that gives no reading: the kind of trouble, and what was seen, both in words."""

    kind: str
    what: str


def read_number(text: str) -> float | None:
    """Return the number of a glucose cell as written, its unit ignored; None when there is none."""
    found = _VALUE.fullmatch(text.strip())
    return float((found[1] or "") + found[2].replace(",", ".")) if found else None


def is_plausible(number: float) -> bool:
    """Say whether a number can be glucose in one unit or the other."""
    return LOWEST_MMOL <= number <= HIGHEST_MMOL or LOWEST_MMOL <= to_mmol(number, "mg/dL") <= HIGHEST_MMOL


def is_flag(text: str) -> bool:
    """Say whether a cell is a marker such as LO, HI or <2.2."""
    return _FLAG.fullmatch(text.strip()) is not None


def is_nothing(text: str) -> bool:
    """Say whether a cell stands for no value at all."""
    return text.strip().lower() in _NOTHING


def find_unit(text: str) -> GlucoseUnit | None:
    """Return the unit that a heading or cell names; None when it names none, or both."""
    low = " ".join(text.lower().split())
    mmol, mg = "mmol" in low, _MG.search(low) is not None
    if mmol == mg:
        return None
    return "mmol/L" if mmol else "mg/dL"


def judge_unit(
    values: Iterable[float], declared: GlucoseUnit | None, who: str, hinted: GlucoseUnit | None, name: str
) -> GlucoseUnit:
    """Return the first unit that the middle of the values can be in: declared, hinted, or told by its size.

    who: what declared it, for the sentence of the BadFile that is raised when the values contradict it
    """
    middle = median(values)
    by_size: GlucoseUnit = "mg/dL" if middle >= _MG_FROM else "mmol/L"
    for unit in (declared, None if declared else hinted, by_size):
        if unit is None or not LOWEST_MMOL <= to_mmol(middle, unit) <= HIGHEST_MMOL:
            continue
        if declared not in (None, unit):
            raise BadFile(
                f"{name}: {who} said {declared}, but values around {middle:g} look like {unit}; "
                "send it again and say the unit they are in."
            )
        return unit
    raise BadFile(f"{name}: values around {middle:g} do not look like glucose in mmol/L or mg/dL.")


class ValueReader:
    """Reads the values of one file in its unit; each distinct text is worked out only once."""

    def __init__(self, unit: GlucoseUnit) -> None:
        self._unit = unit
        self._known: dict[tuple[str, str], float | Flag | Refused] = {}

    def read(self, text: str, unit_text: str = "") -> float | Flag | Refused:
        """Return a value in mmol/L, a flag, or why there is neither; a unit in the row goes first."""
        key = (text, unit_text)
        if key not in self._known:
            self._known[key] = self._work_out(text.strip(), unit_text)
        return self._known[key]

    def _work_out(self, text: str, unit_text: str) -> float | Flag | Refused:
        if len(text) > _LONGEST:
            return Refused("no number", f"“{text[:20]}…” is not a glucose value")
        if is_nothing(text):
            return Refused("no value", "no glucose value")
        if is_flag(text):
            return Flag()
        number = read_number(text)
        if number is None:
            return Refused("no number", f"“{text[:30]}” is not a glucose value")
        unit = find_unit(text) or find_unit(unit_text) or self._unit
        mmol = to_mmol(number, unit)
        if not LOWEST_MMOL <= mmol <= HIGHEST_MMOL:
            return Refused(
                "range", f"{number:g} {unit} is outside {LOWEST_MMOL:g} to {HIGHEST_MMOL:g} mmol/L"
            )
        return mmol
