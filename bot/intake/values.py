"""Glucose values as files write them: numbers in either unit, markers beyond the sensor's range, nothing."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import median
from typing import Literal

from bot.intake.words import clean, fold, folded
from bot.model.errors import BadFile
from bot.model.units import GlucoseUnit, to_mmol

LOWEST_MMOL, HIGHEST_MMOL = 1.0, 33.3
"""What is taken for a reading. 33.3 mmol/L (600 mg/dL) is the upper end of the glucose scale in the appendix
of Kovatchev's risk indices, whose lower end is 1.1; 1.0 is a round number below it (no source)."""

_VALUE = re.compile(
    r"([-+])?(\d{1,5}(?:[.,]\d+)?)\s*(mmol\s*/?\s*l?|mg\s*/?\s*dl|mg\s*%)?\s*[*!↑↓→↗↘⇈⇊]*", re.I
)
_MG = re.compile(r"mg ?/? ?dl|mg ?%|(?<![a-z])mg(?![a-z])|мг/дл")
_MMOL = re.compile(r"mmol(?! ?/ ?mol)|ммоль")  # mmol/mol is of HbA1c
_LONGEST = 60  # no value has more characters
_GROUPED = re.compile(
    r"[-+]?\d{1,3}(?:(?:,\d{3})+\.\d+|(?:\.\d{3})+,\d+|(?:,\d{3}){2,}|(?:\.\d{3}){2,}"
    r"|(?:[ '’]\d{3})+(?:[.,]\d+)?)"
)
_BOUND = re.compile(r"([<>≤≥])\s*=?\s*\d.*")
_FLAG = re.compile(r"([^\W\d_]{1,12})(?:[\s:]+(?:range|limit|reading|glucose|\d.*))?")
# Words for low and high, below and above in many languages, folded (from memory).
_LOW = folded((
    "lo low below under tief niedrig unter bas bajo basso baixo abaixo laag lav lavt lag lagt matala niski",
    "nizky nizka dusuk alacsony низкий низк ниже χαμηλη χαμηλο χαμηλα 低 低い 偏低 낮음",
))  # fmt: skip
_HIGH = folded((
    "hi high above over hoch uber haut eleve alto acima hoog hoy hoyt hoj hojt hog hogt korkea wysoki vysoky",
    "vysoka yuksek magas высокий высок выше υψηλη υψηλο υψηλα 高 高い 偏高 높음",
))  # fmt: skip
_NOTHING = {"", "-", "--", "---", "nan", "null", "none", "n/a", "na", "nil", "."}
_MG_FROM = 36.0  # a middle of 36 mg/dL would be 2.0 mmol/L; one of 33.3 mmol/L or more is no reading


@dataclass(frozen=True, slots=True)
class Flag:
    """A marker instead of a number: the sensor was below or above its range."""

    what: Literal["low limit", "high limit"]


@dataclass(frozen=True, slots=True)
class Refused:
    """A cell that gives no reading: the kind of trouble, and what was seen, both in words."""

    kind: str
    what: str


_BELOW, _ABOVE = Flag("low limit"), Flag("high limit")


def read_number(text: str) -> float | None:
    """Return the number of a glucose cell as written, its unit ignored; None when there is none."""
    found = _VALUE.fullmatch(ungroup(text.strip()))
    return float((found[1] or "") + found[2].replace(",", ".")) if found else None


def ungroup(text: str) -> str:
    """Return a number without the marks that part its thousands, where they cannot be its decimal mark."""
    if not _GROUPED.fullmatch(text):
        return text
    decimal = max(text.rfind("."), text.rfind(","))
    marks = [mark for mark in text if not mark.isdigit() and mark not in "+-"]
    whole = decimal < 0 or marks.count(text[decimal]) > 1  # one mark many times parts thousands
    digits = "".join(mark for mark in (text if whole else text[:decimal]) if mark.isdigit() or mark in "+-")
    return digits if whole else f"{digits}.{text[decimal + 1 :]}"


def is_plausible(number: float) -> bool:
    """Say whether a number can be glucose in one unit or the other."""
    return LOWEST_MMOL <= number <= HIGHEST_MMOL or LOWEST_MMOL <= to_mmol(number, "mg/dL") <= HIGHEST_MMOL


def read_flag(text: str) -> Flag | None:
    """Return what a marker such as LO, HI or <2.2 says; None when a cell is none."""
    if found := _BOUND.fullmatch(text.strip()):
        return _BELOW if found[1] in "<≤" else _ABOVE
    named = _FLAG.fullmatch(fold(text.strip()))
    if named is None:
        return None
    return _BELOW if named[1] in _LOW else _ABOVE if named[1] in _HIGH else None


def is_nothing(text: str) -> bool:
    """Say whether a cell stands for no value at all."""
    return text.strip().lower() in _NOTHING


def find_unit(text: str) -> GlucoseUnit | None:
    """Return the unit that a heading or cell names; None when it names none, or both."""
    low = " ".join(text.lower().split())
    mmol, mg = _MMOL.search(low) is not None, _MG.search(low) is not None
    if mmol == mg:
        return None
    return "mmol/L" if mmol else "mg/dL"


def is_other_unit(text: str) -> bool:
    """Say whether the cell of a column of units names one that is not of glucose."""
    return any(mark.isalpha() for mark in text) and find_unit(text) is None and not is_nothing(text)


def unit_by_size(number: float) -> GlucoseUnit:
    """Return the only unit in which a number can be glucose."""
    return "mg/dL" if number >= _MG_FROM else "mmol/L"


def judge_unit(
    values: Iterable[float], declared: GlucoseUnit | None, who: str, hinted: GlucoseUnit | None, name: str
) -> GlucoseUnit:
    """Return the first unit that the middle of the values can be in: declared, hinted, or told by its size.

    who: what declared it, for the sentence of the BadFile that is raised when the values contradict it
    """
    middle = median(values)
    for unit in (declared, None if declared else hinted, unit_by_size(middle)):
        if unit is None or not LOWEST_MMOL <= to_mmol(middle, unit) <= HIGHEST_MMOL:
            continue
        if declared not in (None, unit):
            raise BadFile(
                f"{name}: {who} said {declared}, but values around {middle:g} look like {unit}; "
                "send it again and say the unit they are in."
            )
        return unit
    raise BadFile(f"{name}: values around {middle:g} don't look like glucose in mmol/L or mg/dL.")


class ValueReader:
    """Reads the values of one column in its unit; None: each value in the unit that its size tells."""

    def __init__(self, unit: GlucoseUnit | None) -> None:
        self._unit = unit

    def read(self, text: str, unit_text: str = "") -> float | Flag | Refused:
        """Return a value in mmol/L, a flag, or why there is neither; a unit in the row goes first."""
        text = clean(text)
        if len(text) > _LONGEST:
            return Refused("no number", f"“{text[:20]}…” is not a glucose value")
        if is_nothing(text):
            return Refused("no value", "no glucose value")
        flag = read_flag(text)
        if flag is not None:
            return flag
        number = read_number(text)
        if number is None:
            return Refused("no number", f"“{text[:30]}” is not a glucose value")
        unit = find_unit(text) or find_unit(unit_text)
        if unit is None and is_other_unit(unit_text):
            return Refused("unit", f"“{unit_text.strip()[:20]}” is no unit of glucose")
        unit = unit or self._unit or unit_by_size(number)
        mmol = to_mmol(number, unit)
        if not LOWEST_MMOL <= mmol <= HIGHEST_MMOL:
            return Refused(
                "range", f"{number:g} {unit} is outside {LOWEST_MMOL:g} to {HIGHEST_MMOL:g} mmol/L"
            )
        return mmol
