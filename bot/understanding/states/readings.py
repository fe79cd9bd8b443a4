"""Clauses that hold a typed glucose value: "5.4 at 9:10", "glucose 104", "8.1 at 45 min"."""

import re
from collections.abc import Iterable, Sequence

from bot.foodtable import FoodTable
from bot.model.units import GlucoseUnit, to_mmol
from bot.understanding.pieces.drafts import Draft, moment_of
from bot.understanding.pieces.numerals import NUMBER_WORDS
from bot.understanding.pieces.pieces import Amount, Clause, Moment, Piece, word_at
from bot.understanding.words.lexicon import TAGS, meanings
from bot.understanding.words.movements import MOVEMENTS
from bot.understanding.words.plain_words import is_plain
from bot.understanding.words.tokens import Token

LEAST_MMOL, MOST_DECIMAL = 3.0, 25.0
LEAST_COUNTED = 2.0

_UNITS: dict[str, GlucoseUnit] = meanings("glucose_unit")
LEAST_PEAK, MOST_ALONE = 70.0, 300.0
_SUGAR_LOW, _SUGAR_HIGH = 3, 20  # "sugar seven at nine" is a reading, "sugar 2" is two sugars
_OF_BLOOD = TAGS.of_blood
NO_NUMBER = "HI or LO is no number: say the number your meter ends at instead, like “2.2 at 9:10”."
LOWEST_MMOL, HIGHEST_MMOL = 1.0, 33.3
LOWEST_MGDL, HIGHEST_MGDL = 18.0, 600.0


MOST_HOURS = 14
_SPOKEN_BESIDE = TAGS.announced | TAGS.glucose | _OF_BLOOD | TAGS.of_sensor | TAGS.spoken_beside


def with_whole_hours(tokens: list[Token]) -> list[Token]:
    """Part "8.1 hour after" and "151 hr after" into a value and one hour: nobody counts hours so."""
    parted: list[Token] = []
    for k, token in enumerate(tokens):
        before, after = tokens[k - 1] if k else None, tokens[k + 1].text if k + 1 < len(tokens) else ""
        counted = token.text in ("hour", "hr", "h") and after in ("after", "later", "post", "pp")
        value = before.number if counted and before is not None and before.kind == "number" else 0.0
        if value % 0.25 or value > MOST_HOURS:
            parted.append(Token("number", "1", token.start, token.start, 1.0))
        parted.append(token)
    return parted


def _with_spoken_hundreds(tokens: list[Token]) -> list[Token]:
    """Make one number of "one eighteen" and "one oh five" beside "sugar", "meter" and the like."""
    for k in range(len(tokens) - 1):
        value, rest = _spoken(tokens, k), _spoken(tokens, k + 1)
        if value not in (1.0, 2.0) or rest is None or tokens[k].kind != "word":
            continue
        named = {t.text for t in tokens[max(k - 6, 0) : k + 7]}
        end, last = k + 2, _spoken(tokens, k + 2)
        if last is not None and last < 10 and (rest == 0 or (rest >= 20 and rest % 10 == 0)):
            rest, end = rest + last, k + 3
        least = 5 if end == k + 2 else 1  # "one oh two"
        if not least <= rest < 100 or not named & _SPOKEN_BESIDE:
            continue
        total = 100 * value + rest
        whole = Token("number", f"{total:.0f}", tokens[k].start, tokens[end - 1].end, total)
        return [*tokens[:k], whole, *tokens[end:]]
    return tokens


def fold_spoken_decimals(tokens: list[Token]) -> list[Token]:
    """Make one number of "five point six" and "sugar was one eighteen"; anything else stays as it is."""
    tokens = with_whole_hours(tokens)
    if _SPOKEN_BESIDE & {t.text for t in tokens}:
        tokens = _with_spoken_hundreds(tokens)
    if not any(t.text in TAGS.points for t in tokens):
        return tokens
    folded: list[Token] = []
    i = 0
    while i < len(tokens):
        whole, tenth = (_spoken(tokens, k) for k in (i, i + 2))
        if whole is None or tenth is None or tokens[i + 1].text not in TAGS.points or not 0 <= tenth < 10:
            folded.append(tokens[i])
            i += 1
            continue
        value = whole + tenth / 10
        folded.append(
            Token("number", f"{value:.1f}", tokens[i].start, tokens[i + 2].end, value, tokens[i].glued)
        )
        i += 3
    return folded


def _spoken(tokens: Sequence[Token], i: int) -> float | None:
    if i >= len(tokens):
        return None
    token = tokens[i]
    if token.kind == "number" and token.number == int(token.number):
        return token.number
    return 0.0 if token.text in ("oh", "zero", "nought") else NUMBER_WORDS.get(token.text)


def read_reading(clause: Clause, after_food: bool, table: FoodTable, own: GlucoseUnit) -> Draft | None:
    """Read one glucose value: "5.4", "glucose 104 at 9:10", "8.1 at 45 min", "104 mg/dl".

    after_food: a bare whole number may be the amount of the food before it; own: the person's unit
    """
    words = set(clause.words)
    if words & TAGS.off_scale and _is_off_scale(clause, words):
        return Draft("reading", clause, ask=NO_NUMBER)
    amounts = [p for p in clause.pieces if isinstance(p, Amount)]
    values = [a for a in amounts if (not a.unit or a.unit in _UNITS) and not a.article and not a.vague]
    values, later = _without_minutes(clause, values)
    decimals = [a for a in values if a.decimal]
    if len(values) > 1 and len(decimals) == 1 and words & (_OF_BLOOD | TAGS.glucose):
        amounts, values = [a for a in amounts if a in decimals or a not in values], decimals
    if len(values) != 1 or values[0].low is not None:
        return None
    value = values[0]
    timed = own == "mg/dL" and _is_timed(clause, value)  # "118 after work", "woke up at 102"
    if not timed and _is_other_number(clause, value):
        return None
    unit = _UNITS.get(value.unit) or unit_in(clause)
    moment = _nearest(clause, value) or moment_of(clause)
    bare = words <= TAGS.peaked | TAGS.reading_filler and LEAST_MMOL <= value.value <= MOST_DECIMAL
    peak = bool(words & TAGS.peaked) and (value.decimal or value.value >= LEAST_PEAK or bare)
    named = unit is not None or bool(words & TAGS.glucose) or peak
    named = named or (
        bool(words & TAGS.of_sensor) and (value.decimal or LEAST_PEAK <= value.value <= HIGHEST_MGDL)
    )
    named = named or (is_of_blood(words) and (value.decimal or value.value >= LEAST_PEAK))
    named = named or (bool(words & {"sugar", "sugars"}) and bool(words & TAGS.beside_sugar))
    sugar = moment is not None and _SUGAR_LOW <= value.value <= _SUGAR_HIGH
    named = named or ("sugar" in words and not value.unit and value.value >= LEAST_PEAK)
    named = named or (words == {"sugar"} and (sugar or value.decimal or value.value >= LEAST_PEAK))
    others = words - TAGS.glucose - TAGS.reading_filler - _UNITS.keys() - (TAGS.peaked if peak else set())
    side = next(
        (k for k, word in enumerate(clause.words) if word in ("after", "before", "pre", "post")), None
    )
    others -= words_behind_side(clause)
    told = value.value >= LEAST_PEAK and side is not None and clause.words[side] in ("pre", "post")
    if side is not None and (told or named or value.decimal or moment is not None or "then" in clause.leads):
        others -= set(clause.words[side + 1 :])  # "160 after that bagel"
    if named or value.decimal or timed:
        others = {word for word in others if not is_plain(word)}
    if others and _is_no_count(value) and not words & (TAGS.other_numbers | MOVEMENTS.keys()):
        others = {word for word in others if table.has_word(word)}  # "5,4 nuchter"
    if others or value.size or len(amounts) - 1 > sum(a.unit == "min" or a.article for a in amounts):
        return None
    length = next((a for a in amounts if a.unit == "min"), None) or later
    fasted = words & {"fasted", "fasting"} and not (words - TAGS.reading_filler)
    sided = bool(words & {"pre", "post", "pp"}) and value.value >= LEAST_PEAK
    alone = clause.strong and not words and own == "mg/dL" and LEAST_PEAK <= value.value <= MOST_ALONE
    counted = (
        after_food
        and not (sided or alone)
        and not value.decimal
        and moment is None
        and length is None
        and not fasted
    )
    if not named and (counted or words & {"sugar", "sugars", "test", "blood"}):
        return None
    moment = moment or _when_beside(clause, value, length)
    of_blood = is_of_blood(words)
    return Draft("reading", clause, value=value.value, unit=unit, moment=moment, of_blood=of_blood)


def _is_timed(clause: Clause, value: Amount) -> bool:
    """Tell whether a whole number that no clock shows stands with nothing but when it was."""
    words = set(clause.words)
    when = bool(words & TAGS.when_read) and not words & (TAGS.other_numbers | MOVEMENTS.keys())
    return when and not value.unit and LEAST_PEAK <= value.value <= MOST_ALONE


def _nearest(clause: Clause, value: Amount) -> Moment | None:
    """Return the time right behind a value with another before it: "after the curry at 7, 7.7 at 8"."""
    clocked = [m for m in clause.moments if m.has_clock]
    behind = [m for m in clocked if m.start > value.start]
    return behind[0] if len(clocked) > 1 and behind and clocked[0].start < value.start else None


def _is_other_number(clause: Clause, value: Amount) -> bool:
    """Tell whether a number surely is no glucose: a weight, a count, an hour; no meter shows 24.31."""
    words = set(clause.words)
    behind = word_at(clause.pieces, clause.pieces.index(value) + 1)
    if behind in TAGS.counted_readings or (words & TAGS.other_numbers and not words & TAGS.glucose):
        return True  # "took 2 readings", "weighed 78.4"
    if "with" in clause.leads and not (value.decimal and not clause.words):
        return True  # but not "woke up with 5.6"
    if value.decimal or words & TAGS.glucose:
        return not value.unit and unit_in(clause) is None and round(value.value, 1) != value.value
    if not value.unit and (behind in ("is", "was") or 0 < value.value < LEAST_COUNTED):
        return True  # "11 is when I went to bed", "and a third one"
    hour = words & {"it's", "its"} and words & {"only", "already", "just"}  # "and it's only 10"
    return bool(hour or words & {"woke", "up", "bed", "asleep"})


def words_behind_side(clause: Clause) -> set[str]:
    """Return the words behind "after" and the like: "10.1 after that cake" names a cake noted before."""
    side = next(
        (k for k, p in enumerate(clause.pieces) if isinstance(p, Moment) and p.side in ("after", "before")),
        None,
    )
    valued = side is not None and any(isinstance(p, Amount) for p in clause.pieces[:side])
    return {p.text for p in clause.pieces[side:] if isinstance(p, Token)} if valued else set()


def _when_beside(clause: Clause, value: Amount, length: Amount | None) -> Moment | None:
    """Return when a value without a time was taken: so long after a meal, a part of the day."""
    if length is not None:
        side = "after" if "after" in clause.words else ""
        return Moment(length.start, length.end, after_min=length.value, side=side)
    before = {"before", "pre", "fasting"} & set(clause.words)
    return Moment(value.start, value.end, side="before") if before else None


def is_of_blood(words: Iterable[str]) -> bool:
    """Tell whether words say that a value is of a finger or a meter: "fingertip 5.7", "strip said 6.1"."""
    return bool(_OF_BLOOD & set(words)) and not TAGS.of_sensor & set(words)


def _is_off_scale(clause: Clause, words: set[str]) -> bool:
    """Tell whether "HI" or "LO" stands for a value: beside the sensor, or with nothing but a time."""
    if words & (TAGS.glucose | {"sensor"}):
        return True
    valued = any(isinstance(p, Amount) for p in clause.pieces)
    return bool(clause.moments) and not valued and words <= TAGS.off_scale | TAGS.reading_filler


def _without_minutes(clause: Clause, values: list[Amount]) -> tuple[list[Amount], Amount | None]:
    """Part the minutes of "6.1 after 90" from its value; None where there are none."""
    if len(values) != 2 or not values[0].decimal or values[1].decimal or values[1].value % 15:
        return values, None
    place = clause.pieces.index(values[1])
    after = word_at(clause.pieces, place - 1) in ("after", "+")
    return (values[:1], values[1]) if after else (values, None)


def _is_no_count(value: Amount) -> bool:
    """Tell whether a number is that of no food: one decimal place, and no halves, within what meters show."""
    if not value.decimal or value.unit or not LOWEST_MMOL < value.value < MOST_DECIMAL:
        return False
    return value.value * 2 != int(value.value * 2) and round(value.value, 1) == value.value


def _tells(piece: Piece) -> bool:
    return isinstance(piece, Amount) and not piece.article


def tells_of_check(clause: Clause) -> bool:
    """Tell whether a clause only says that glucose was looked at: "checked", "glucometer at 6:50"."""
    words = set(clause.words)
    counted = (
        word_at(clause.pieces, k + 1) in TAGS.counted_readings
        for k, p in enumerate(clause.pieces)
        if _tells(p)
    )
    if not all(counted):
        return False
    told = bool(words & (TAGS.checked | TAGS.glucose))
    return told and all(w in TAGS.glucose | TAGS.reading_filler | TAGS.checked or is_plain(w) for w in words)


def unit_in(clause: Clause) -> GlucoseUnit | None:
    """Return the unit that stands apart from its number ("101 at 8, 133 at 9 mg/dl"), None without one."""
    return next((_UNITS[w] for w in clause.words if w in _UNITS and w != "mg"), None)


def is_heading(pieces: Sequence[Piece]) -> bool:
    """Tell whether words only announce readings: "readings:", "mg/dl:", "checked my sugar:"."""
    if not pieces or not all(isinstance(p, Token) for p in pieces):
        return False
    words = {p.text for p in pieces if isinstance(p, Token)}
    if words & TAGS.announced:
        words = {word for word in words if not is_plain(word)}
    return words <= TAGS.glucose | _UNITS.keys() | TAGS.announced | _OF_BLOOD | {"blood", "my"}


def settle_units(drafts: Iterable[Draft], heading: GlucoseUnit | None, own: GlucoseUnit) -> None:
    """Give readings without a unit the one said once in the note, else the person's own."""
    readings = [d for d in drafts if d.kind == "reading" and not d.ask]
    said = {d.unit for d in readings if d.unit is not None}
    once = heading or (
        said.pop() if len(said) == 1 and sum(d.unit is not None for d in readings) == 1 else own
    )
    for draft in readings:
        draft.unit = draft.unit or (once if _plausible(draft.value, once) else own)
        draft.ask = _implausible(draft.value, draft.unit, draft.moment)


def mmol_of(draft: Draft, own: GlucoseUnit) -> float:
    """Return a reading's value in mmol/L."""
    return to_mmol(draft.value, draft.unit or own)


def _plausible(value: float, unit: GlucoseUnit) -> bool:
    low, high = (LOWEST_MMOL, HIGHEST_MMOL) if unit == "mmol/L" else (LOWEST_MGDL, HIGHEST_MGDL)
    return low <= value <= high


def suggested(ask: str) -> str:
    """Return the words that a question about a value proposes, "" where it proposes none."""
    found = re.search(r"Then say “(.+)”\.$", ask)
    return found[1] if found is not None else ""


def _implausible(value: float, unit: GlucoseUnit, moment: Moment | None) -> str:
    if _plausible(value, unit):
        return ""
    low, high = (LOWEST_MMOL, HIGHEST_MMOL) if unit == "mmol/L" else (LOWEST_MGDL, HIGHEST_MGDL)
    if value > high and unit == "mmol/L" and value <= HIGHEST_MGDL:
        return _did_you_mean(f"{value:g} mg/dL", moment)
    if value < low and unit == "mg/dL" and value >= LOWEST_MMOL:
        return _did_you_mean(f"{value:g} mmol/L", moment)
    return (
        f"{value:g} {unit} can't be right: a reading is {low:g} to {high:g} {unit}, "
        f"like “{'5.4' if unit == 'mmol/L' else '98'} at 9:10”."
    )


def _did_you_mean(value: str, moment: Moment | None) -> str:
    timed = moment is not None and moment.hour is not None and not moment.has_day
    at = f" at {moment.hour}:{moment.minute:02d}{moment.half}" if moment is not None and timed else ""
    return f"Did you mean {value}{at}? Then say “{value}{at}”."


CUES = (
    TAGS.off_scale
    | _OF_BLOOD
    | TAGS.glucose
    | TAGS.reading_filler
    | TAGS.checked
    | TAGS.counted_readings
    | TAGS.peaked
    | TAGS.announced
    | _UNITS.keys()
)
"""Words that belong to a reading when they stand beside its value."""
NAMES = TAGS.glucose | TAGS.peaked | _UNITS.keys() | TAGS.names
"""Words that say that a number beside them is glucose."""
