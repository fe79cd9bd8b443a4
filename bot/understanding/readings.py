"""Clauses that hold a typed glucose value: "5.4 at 9:10", "glucose 104", "8.1 at 45 min"."""

from bot.understanding.drafts import Draft, moment_of
from bot.understanding.pieces import Amount, Clause, Moment
from bot.understanding.wordlists import word_set
from bot.units import GlucoseUnit, to_mmol

_GLUCOSE = word_set("glucose bg bgl bs bm reading readings level cgm glukose glucouse")
_READING_FILLER = word_set(
    "blood sugar sugars my was is of at the a it now just before after later fasting been reads says "
    "showed shows sensor measured finger prick fingerprick test tested in around post pre meal and to "
    "from went up down peaked peak then back woke waking bedtime bed still only hi up"
)
_UNITS: dict[str, GlucoseUnit] = {"mmol/L": "mmol/L", "mg/dL": "mg/dL", "mg": "mg/dL"}
LOWEST_MMOL, HIGHEST_MMOL = 1.0, 33.3
LOWEST_MGDL, HIGHEST_MGDL = 18.0, 600.0


def read_reading(clause: Clause, unit: GlucoseUnit, after_food: bool) -> Draft | None:
    """Read one glucose value: "5.4", "glucose 104 at 9:10", "8.1 at 45 min", "104 mg/dl".

    after_food: a bare whole number may be the amount of the food before it.
    """
    amounts = [p for p in clause.pieces if isinstance(p, Amount)]
    values = [a for a in amounts if a.unit in ("", "mmol/L", "mg/dL", "mg") and not a.article and not a.vague]
    words = set(clause.words)
    if len(values) != 1 or values[0].low is not None or "with" in clause.leads:
        return None
    value = values[0]
    named = value.unit != "" or bool(words & _GLUCOSE)
    named = named or ("sugar" in words and bool(words & {"blood", "was", "is", "at"}))
    others = words - _GLUCOSE - _READING_FILLER
    if others or value.size or len(amounts) - 1 > sum(a.unit == "min" for a in amounts):
        return None
    counted = after_food and not value.decimal and moment_of(clause) is None
    if not named and (counted or words & {"sugar", "sugars", "test", "blood"}):
        return None
    stated = _UNITS.get(value.unit, unit)
    ask = _implausible(value.value, stated)
    mmol = to_mmol(value.value, stated)
    moment = moment_of(clause)
    length = next((a for a in amounts if a.unit == "min"), None)
    if length is not None and moment is None:
        moment = Moment(length.start, length.end, after_min=length.value)
    if moment is None and words & {"before", "pre", "fasting"}:
        moment = Moment(value.start, value.end, side="before")
    return Draft("reading", clause, mmol=mmol, moment=moment, ask=ask)


def _implausible(value: float, unit: GlucoseUnit) -> str:
    low, high = (LOWEST_MMOL, HIGHEST_MMOL) if unit == "mmol/L" else (LOWEST_MGDL, HIGHEST_MGDL)
    if low <= value <= high:
        return ""
    if value > high and unit == "mmol/L" and value <= HIGHEST_MGDL:
        return f"{value:g} mmol/L cannot be right: did you mean mg/dL? Then say “{value:g} mg/dL”."
    if value < low and unit == "mg/dL" and value >= LOWEST_MMOL:
        return f"{value:g} mg/dL cannot be right: did you mean mmol/L? Then say “{value:g} mmol/L”."
    return f"{value:g} {unit} cannot be right: a reading is between {low:g} and {high:g} {unit}."
