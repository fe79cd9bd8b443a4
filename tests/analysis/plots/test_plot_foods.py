"""What foods add, all on one scale and one by its portion, tested on their artists."""

from collections.abc import Callable

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from analysis.foods.contrasts import Portions
from analysis.foods.effects import FoodEffect
from analysis.plots.foods import ROWS_MOST, alt_foods, draw_foods, rows_of
from analysis.plots.portion import alt_portion, draw_portion
from analysis.plots.style import FAINT, INK
from analysis.units import per_mmol

LONG = "two slices of rye toast with butter, a boiled egg, half an avocado and tomatoes 🥣"
Check = Callable[[Figure], None]
Words = Callable[[Figure], list[str]]


def effect(food: str, estimate: float, *, occasions: int = 6, **more: object) -> FoodEffect:
    known: dict[str, object] = {
        "food": food, "occasions": occasions, "grams": 80.0, "carbs_g": 30.0, "estimate": estimate,
        "low": estimate - 20, "high": estimate + 30, "nutrients_say": 60.0, "plain_mean": 90.0,
        "half": estimate / 2, "half_more": 1.4 * estimate, "together_with": (), "always_with": (),
        "group": None, "learnt": True, "above": 0.5,
    }  # fmt: skip
    return FoodEffect(**(known | more))  # type: ignore[arg-type]


def foods(n: int) -> list[FoodEffect]:
    return [effect(f"f{k}", 120.0 - 14 * k) for k in range(n)]


def names_of(found: list[FoodEffect], name: str = "bulgur") -> dict[str, str]:
    return {one.food: f"{name} {one.food}" for one in found}


@pytest.mark.parametrize("n", [1, 2, 9, 30])
@pytest.mark.parametrize("name", ["bulgur", LONG, "سلطة 寿司"])
def test_nothing_collides(n: int, name: str, unit: str, check_layout: Check, words: Words) -> None:
    found = foods(n)
    figure = draw_foods(found, names_of(found, name), unit, f"{name} adds most")
    check_layout(figure)
    assert any("not drawn: they add least" in text for text in words(figure)) == (n > ROWS_MOST)


def test_never_apart_is_one_row_then_its_parts_in_a_bracket(check_layout: Check) -> None:
    pair = [
        effect("oats", 50.0, always_with=("pear",), together_with=("pear",), group=(80.0, 60.0, 100.0)),
        effect("pear", 30.0, always_with=("oats",), together_with=("oats",), group=(80.0, 60.0, 100.0)),
    ]
    found = [effect("rice", 60.0), *pair, effect("egg", 2.0)]
    names = {one.food: one.food for one in found}
    rows = rows_of(found, names)
    assert [row.name for row in rows] == ["Oats + pear", "Oats", "Pear", "Rice", "Egg"]
    assert [row.unsure for row in rows] == [False, True, True, False, False]
    assert rows[0].estimate == pytest.approx(80 / 120)  # a two-hour area over two hours
    figure = draw_foods(found, names, "mmol/L", "Oats + pear add most")
    check_layout(figure)
    upright = [
        line for line in figure.findobj(Line2D) if line.get_color() == INK and line.get_linewidth() == 5
    ]
    tall = [np.ptp(line.get_ydata()) for line in upright if np.ptp(line.get_ydata()) > 200]
    assert len(tall) == 1  # one rail, over three rows
    alt = alt_foods(found, names, "mmol/L", "Oats + pear add most")
    assert alt.startswith("Oats + pear add most. ")
    assert "Oats + pear (only together, 6 meals) 0.7, likely 0.5 to 0.8;" in alt
    assert "not told apart from what it was eaten with" in alt


def test_what_nutrients_say_stands_faint_behind(unit: str) -> None:
    found = foods(3)
    figure = draw_foods(found, names_of(found), unit, "Bulgur adds most")
    faint = [line for line in figure.findobj(Line2D) if line.get_color() == FAINT]
    assert len(faint) == 4  # one a food, one in the key
    assert f"its nutrients alone say {'0.5' if unit == 'mmol/L' else '9'}" in alt_foods(
        found, names_of(found), unit, "x"
    )


def test_seen_once_is_named_and_not_drawn(words: Words) -> None:
    found = [effect("rice", 60.0), effect("egg", 2.0, occasions=1)]
    names = {"rice": "rice", "egg": "egg"}
    assert [row.name for row in rows_of(found, names)] == ["Rice"]
    said = words(draw_foods(found, names, "mmol/L", "Rice adds most"))
    assert "Seen once only, not drawn: egg." in said


def portions(n: int = 12, top: float = 110.0) -> Portions:
    grams = np.linspace(0.0, 200.0, 25)
    middle = top * grams / 200
    rng = np.random.default_rng(2)
    seen_grams = rng.uniform(60, 175, n)
    seen = np.interp(seen_grams, grams, middle) + rng.normal(0, 20, n)
    return Portions("rice", grams, middle, 0.6 * middle - 3, 1.3 * middle + 3, seen_grams, seen, 120.0)


@pytest.mark.parametrize("n", [2, 40])
@pytest.mark.parametrize("top", [-20.0, 2.0, 110.0, 400.0])
@pytest.mark.parametrize("name", ["rice", LONG])
def test_a_portion_is_laid_out(n: int, top: float, name: str, unit: str, check_layout: Check) -> None:
    check_layout(draw_portion(portions(n, top), name, unit))


def test_a_portion_in_words(unit: str) -> None:
    alt = alt_portion(portions(), "rice", unit)
    usual, half = (f"{66 * share / 120 * per_mmol(unit):.{int(unit == 'mmol/L')}f}" for share in (1, 0.5))
    assert alt.startswith(f"120 g rice adds about {usual} {unit}, half of it about {half}. ")
    assert "180 g" in alt
    assert "Dots: 12 meals with it" in alt
    assert "next to nothing" in alt_portion(portions(top=-3.0), "tea", unit)


def test_each_meal_is_a_dot_and_one_far_off_an_arrow() -> None:
    found = portions()
    found.seen[0] = 900.0
    marks = [line.get_marker() for line in draw_portion(found, "rice", "mmol/L").findobj(Line2D)]
    assert marks.count("o") == 11
    assert marks.count("^") == 1
    assert "Arrows: meals beyond the scale." in alt_portion(found, "rice", "mmol/L")
