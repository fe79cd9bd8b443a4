"""What each food adds, on one scale: how surely, what nutrients alone say, what is not told apart."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

from matplotlib.figure import Figure

from analysis.curves import WINDOW_MIN
from analysis.foods.effects import NEED, FoodEffect
from analysis.plots.scale import Scale, draw_dot, stroke
from analysis.plots.style import (
    FAINT,
    HAIRLINE,
    INK,
    MARGIN_PX,
    NOTE_PX,
    SOFT_INK,
    WIDTH_PX,
    Sheet,
)
from analysis.plots.text import plain
from analysis.plots.week import count
from analysis.units import per_mmol

TITLE, BODY, SMALL = 56.0, 40.0, 36.0
TITLE_LINE, BODY_LINE, ROW = 62.0, 50.0, 104.0
RAIL, WORDS_LEFT = 64.0, 92.0
SCALE_LEFT, SCALE_RIGHT = 110.0, 990.0
ROWS_MOST = 14
"""Of more rows than this the first are drawn: what adds least is not asked for."""
GRID_STEPS = (1.0, 2.0, 5.0, 10.0)
GRID_LINES = 5
_INNER = WIDTH_PX - 2 * MARGIN_PX
Names = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class FoodRow:
    """One row: what it is called, its mean rise over two hours (mmol/L), and how it stands.

    known: small words beside the name; nutrients: what its nutrients alone say, None for a group
    group: foods of one group have one number, 0 = of none; unsure: it is not told apart from its group
    """

    name: str
    known: str
    estimate: float
    low: float
    high: float
    nutrients: float | None
    group: int
    unsure: bool


def draw_foods(found: Sequence[FoodEffect], names: Names, unit: str, headline: str) -> Figure:
    """Draw what foods add, the most first, 1080 px wide, to be read on a phone.

    Parameters
    ----------
    found: as `analysis.foods.effects.judge_fit` gives them; those seen once are only named.
    names: the plain name of each food.
    unit: "mmol/L" or "mg/dL".
    headline: what the picture answers, in one sentence.

    Returns
    -------
    A Figure at 72 dots per inch, so that a point is a pixel.
    """
    every = rows_of(found, names)
    rows = every[:ROWS_MOST]
    ruler = Sheet(1)
    title = ruler.wrap(plain(headline), _INNER, TITLE, lines=3)
    under = ruler.wrap(f"added to the two hours after a meal, mean in {unit}", _INNER, BODY, lines=2)
    notes = [
        row for said in notes_of(found, names) for row in ruler.wrap(plain(said), _INNER, SMALL, lines=3)
    ]
    under_at = 32 + TITLE_LINE * len(title) + 56
    top = under_at + BODY_LINE * (len(under) - 1) + 84
    bottom = top + ROW * len(rows)
    sheet = Sheet(round(bottom + 128 + NOTE_PX * len(notes)))
    for i, row in enumerate(title):
        sheet.write(MARGIN_PX, 32 + TITLE_LINE * (i + 1), row, TITLE)
    for i, row in enumerate(under):
        sheet.write(MARGIN_PX, under_at + BODY_LINE * i, row, BODY, SOFT_INK)
    scale = _lay_scale(sheet, rows, unit, top, bottom)
    for k, one in enumerate(rows):
        _draw_row(sheet, scale, one, top + ROW * k, per_mmol(unit))
    for first, last in _runs(rows):
        _draw_rail(sheet, top + ROW * first, top + ROW * (last + 1))
    _draw_legend(sheet, scale, bottom + 62, grouped=any(one.group for one in rows))
    sheet.write_notes(notes, SMALL)
    return sheet.figure


def alt_foods(found: Sequence[FoodEffect], names: Names, unit: str, headline: str) -> str:
    """Say in words what `draw_foods` shows, for those who cannot see it; same parameters."""
    per, digits = per_mmol(unit), 1 if unit == "mmol/L" else 0
    told = []
    for one in rows_of(found, names)[:ROWS_MOST]:
        low, middle, high = (f"{per * value:.{digits}f}" for value in (one.low, one.estimate, one.high))
        say = "" if one.nutrients is None else f"; its nutrients alone say {per * one.nutrients:.{digits}f}"
        alone = ", not told apart from what it was eaten with" if one.unsure else ""
        told.append(f"{one.name} ({one.known}) {middle}, likely {low} to {high}{say}{alone}")
    listed = f"Added to the two hours after a meal, mean in {unit}: {'; '.join(told)}." if told else ""
    return " ".join(line for line in (f"{headline.rstrip('.')}.", listed, *notes_of(found, names)) if line)


def rows_of(found: Sequence[FoodEffect], names: Names) -> list[FoodRow]:
    """Return the rows to draw, the most first; foods that are not told apart follow one another.

    Foods that were never eaten apart have a row together before their own.
    """
    left = [one for one in found if one.occasions >= NEED]
    blocks: list[list[FoodRow]] = []
    number = 0
    while left:
        block = _block_of(left.pop(0), left)
        number += len(block) > 1
        rows = [_row(one, names, number if len(block) > 1 else 0) for one in block]
        joint = next((one for one in block if one.group is not None), None)
        if joint is not None and {one.food for one in block} == {joint.food, *joint.always_with}:
            rows.insert(0, _row_together(joint, names, number))
        blocks.append(rows)
    blocks.sort(key=lambda rows: -rows[0].estimate)
    return [row for block in blocks for row in block]


def _block_of(first: FoodEffect, left: list[FoodEffect]) -> list[FoodEffect]:
    """Return a food with all that it is not told apart from, taken out of `left`, by whatever links them."""
    block = [first]
    for one in block:
        linked = {*one.together_with, *one.always_with}
        more = [other for other in left if other.food in linked]
        for other in more:
            left.remove(other)
        block += more
    return block


def _row(one: FoodEffect, names: Names, group: int) -> FoodRow:
    known = f"{one.grams:.0f} g, {count(one.occasions, 'meal')}"
    values = (one.estimate, one.low, one.high, one.nutrients_say)
    estimate, low, high, say = (value / WINDOW_MIN for value in values)
    return FoodRow(_capital(names[one.food]), known, estimate, low, high, say, group, unsure=group > 0)


def _row_together(one: FoodEffect, names: Names, group: int) -> FoodRow:
    assert one.group is not None
    estimate, low, high = (value / WINDOW_MIN for value in one.group)
    name = _capital(" + ".join(names[food] for food in (one.food, *one.always_with)))
    known = f"only together, {count(one.occasions, 'meal')}"
    return FoodRow(name, known, estimate, low, high, None, group, unsure=False)


def notes_of(found: Sequence[FoodEffect], names: Names) -> list[str]:
    """Say what stands in no row."""
    more = len(rows_of(found, names)) - ROWS_MOST
    notes = ["The rest of the plate, portion, hour and walks are counted out."]
    if more > 0:
        notes.append(f"{count(more, 'more food')} not drawn: they add least.")
    few = [names[one.food] for one in found if one.occasions < NEED]
    if few:
        notes.append(f"Seen once only, not drawn: {', '.join(few)}.")
    return notes


def _lay_scale(sheet: Sheet, rows: Sequence[FoodRow], unit: str, top: float, bottom: float) -> Scale:
    """Draw the grid and its numbers; return the scale, which counts in the person's unit."""
    per = per_mmol(unit)
    lows = [
        0.0,
        *(per * min(one.low, one.estimate if one.nutrients is None else one.nutrients) for one in rows),
    ]
    highs = [*(per * max(one.high, one.nutrients or 0.0) for one in rows), 0.5 * per]
    step = find_step(max(highs) - min(lows))
    low, high = step * floor(min(lows) / step + 1e-9), step * ceil(max(highs) / step - 1e-9)
    scale = Scale(sheet.page(), SCALE_LEFT, SCALE_RIGHT, low, high)
    sheet.line((MARGIN_PX, top), (WIDTH_PX - MARGIN_PX, top), INK, 4)
    sheet.line((MARGIN_PX, bottom), (WIDTH_PX - MARGIN_PX, bottom), HAIRLINE, 3)
    digits = max(0, -floor(log10(step) + 1e-9))
    for k in range(round((high - low) / step) + 1):
        value = low + k * step
        x = scale.at(value)
        zero = abs(value) < step / 2
        stroke(scale.page, [x, x], [top, bottom], HAIRLINE, 5 if zero else 2, zorder=0)
        said = f"{value:.{digits}f}".replace("-", "−") if not zero else "0"
        sheet.write(x, top - 18, said, SMALL, SOFT_INK, side="center")
    return scale


def find_step(span: float) -> float:
    """Return the round distance of grid lines of which about `GRID_LINES` fit a span.

    >>> find_step(1.3), find_step(26.0)
    (0.5, 10.0)
    """
    ten = 10.0 ** floor(log10(span / GRID_LINES))
    return next(ten * step for step in GRID_STEPS if ten * step >= span / GRID_LINES)


def _draw_row(sheet: Sheet, scale: Scale, one: FoodRow, top: float, per: float) -> None:
    known_wide = sheet.size_of(one.known, SMALL)[0]
    room = WIDTH_PX - MARGIN_PX - WORDS_LEFT - known_wide - 24
    sheet.write(WORDS_LEFT, top + 44, sheet.wrap(plain(one.name), room, BODY)[0], BODY, halo=True)
    sheet.write(WIDTH_PX - MARGIN_PX, top + 44, one.known, SMALL, SOFT_INK, side="right", halo=True)
    y = top + 76
    if one.nutrients is not None:
        x = scale.at(per * one.nutrients)
        stroke(scale.page, [x, x], [y - 17, y + 17], FAINT, 9, zorder=3.5)
    scale.range(per * one.low, per * one.high, y, SOFT_INK if one.unsure else INK)
    scale.dot(per * one.estimate, y, hollow=one.unsure)


def _runs(rows: Sequence[FoodRow]) -> list[tuple[int, int]]:
    """Return where each group begins and ends."""
    numbers = sorted({one.group for one in rows} - {0})
    places = [[k for k, one in enumerate(rows) if one.group == number] for number in numbers]
    return [(each[0], each[-1]) for each in places if len(each) > 1]


def _draw_rail(sheet: Sheet, top: float, bottom: float) -> None:
    top, bottom = top + 14, bottom - 6
    sheet.line((RAIL, top), (RAIL, bottom), INK, 5)
    for y in (top, bottom):
        sheet.line((RAIL, y), (RAIL + 12, y), INK, 5)


def _draw_legend(sheet: Sheet, scale: Scale, y: float, *, grouped: bool) -> None:
    """Say what dots, lines and ticks are, in one line."""
    x, middle = MARGIN_PX + 14.0, y - 11
    said = ["yours, likely range", "nutrients alone", *(["not told apart"] if grouped else [])]
    for words in said:
        if words == "nutrients alone":
            stroke(scale.page, [x, x], [middle - 17, middle + 17], FAINT, 9)
        elif words == "not told apart":
            sheet.line((x, middle - 17), (x, middle + 17), INK, 5)
            for end in (middle - 17, middle + 17):
                sheet.line((x, end), (x + 12, end), INK, 5)
        else:
            key = Scale(scale.page, x - 10, x + 60)
            key.range(0, 100, middle)
            draw_dot(scale.page, x + 25, middle)
            x += 60
        sheet.write(x + 24, y, words, SMALL, SOFT_INK)
        x += 24 + sheet.size_of(words, SMALL)[0] + 40


def _capital(said: str) -> str:
    return said[:1].upper() + said[1:]
