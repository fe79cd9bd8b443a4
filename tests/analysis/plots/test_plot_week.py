from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.text import Text

from analysis.plots.scale import Scale
from analysis.plots.small import average
from analysis.plots.style import HIGH, PAPER, RISE
from analysis.plots.week import (
    CURVE_HEIGHT,
    RAIL,
    ROW,
    SCALE_LEFT,
    SCALE_RIGHT,
    alt_week,
    draw_week,
)
from analysis.ranking import rank_meals
from analysis.results import Ranking, Serving

VIENNA = ZoneInfo("Europe/Vienna")
Make = Callable[..., Serving]
Check = Callable[[Figure], None]
Words = Callable[[Figure], list[str]]


@pytest.fixture
def rank(hump: Make, serve: Make) -> Callable[..., Ranking]:
    """Return a function that ranks n meals, the k-th with a rise of 0.5 + 0.6 k and one to three servings."""

    def build(n: int, titles: tuple[str, ...] = (), unscored: int = 0) -> Ranking:
        servings = []
        for k in range(n):
            title = titles[k] if k < len(titles) else f"meal {k}"
            for i in range(1 + k % 3):
                meal = hump(rise=0.5 + 0.6 * k + 0.2 * i, title=title, key=f"k{k}", entry_id=10 * k + i)
                servings.append(_later(meal, k % 7))
        servings += [serve([], [], key=f"u{i}", entry_id=1000 + i) for i in range(unscored)]
        return rank_meals(servings)

    return build


def _later(serving: Serving, n_days: int) -> Serving:
    values = {name: getattr(serving, name) for name in Serving.__slots__}
    return Serving(**(values | {"at": serving.at + timedelta(days=n_days)}))


def test_shows_all_meals_on_one_scale(
    rank: Callable[..., Ranking], words: Words, check_layout: Check
) -> None:
    ranking = rank(8, unscored=2)
    figure = draw_week(ranking, "mmol/L", VIENNA)
    said = words(figure)
    assert said[:2] == [f"Most even: {ranking.meals[0].title}", f"Least even: {ranking.meals[-1].title}"]
    assert said[2] == "2 to 8 March: 8 meals, 15 servings, 2 without a score"
    assert [text for text in said if text.startswith("meal ")] == [meal.title for meal in ranking.meals]
    for text in ("evenness", "0", "50", "100", "3 servings, 62 g carbs", "likely range"):
        assert text in said
    assert len([text for text in said if text == f"{ranking.meals[0].score:.0f}"]) >= 1
    check_layout(figure)


def test_dots_ranges_and_ticks_lie_where_the_scores_are(rank: Callable[..., Ranking]) -> None:
    ranking = rank(5)
    (page,) = draw_week(ranking, "mmol/L", VIENNA).axes
    scale = Scale(page, SCALE_LEFT, SCALE_RIGHT)
    dots = sorted(
        (line.get_ydata()[0], line.get_xdata()[0], line.get_markerfacecolor())
        for line in page.get_lines()
        if line.get_marker() == "o"
    )[: len(ranking.meals)]
    lines = [line for line in page.get_lines() if len(line.get_xdata()) == 2]
    for (y, x, face), meal in zip(dots, ranking.meals, strict=True):
        assert x == pytest.approx(scale.at(meal.score))
        assert (face == PAPER) == (len(meal.servings) == 1)
        (likely,) = (line for line in lines if list(line.get_ydata()) == [y, y])
        assert list(likely.get_xdata()) == pytest.approx([scale.at(meal.low), scale.at(meal.high)])
        ticks = [line.get_xdata()[0] for line in lines if line.get_ydata()[0] == y + 14]
        assert sorted(ticks) == pytest.approx(
            sorted(scale.at(s.evenness.score) for s in meal.servings if s.evenness)
        )


def _rails(figure: Figure) -> list[tuple[float, float]]:
    """Return where the rail stands (px from the top)."""
    return [
        (float(line.get_ydata()[0]), float(line.get_ydata()[1]))
        for line in figure.findobj(Line2D)
        if list(line.get_xdata()) == [RAIL, RAIL]
    ]


def test_alike_meals_are_said_so_first_and_bracketed(
    hump: Make, words: Words, check_layout: Check, rank: Callable[..., Ranking]
) -> None:
    alike = rank_meals([hump(rise=2.0 + 0.01 * k, key=f"k{k}", entry_id=k) for k in range(7)])
    figure = draw_week(alike, "mmol/L", VIENNA)
    assert words(figure)[0] == "These 7 meals can't be told apart yet"
    assert "not told apart" in words(figure)
    ((top, bottom),) = _rails(figure)
    assert bottom - top == pytest.approx(7 * ROW - 20)
    check_layout(figure)
    assert alt_week(alike, "mmol/L", VIENNA).startswith(
        "These 7 meals can't be told apart yet. 2 March: 7 meals"
    )


def test_rail_is_over_those_that_are_not_told_apart_only(
    rank: Callable[..., Ranking], words: Words, check_layout: Check
) -> None:
    ranking = rank(6)
    behind = (0.0, 0.7, 0.97, 0.9, 0.99, 1.0)
    meals = tuple(replace(meal, behind=b) for meal, b in zip(ranking.meals, behind, strict=True))
    figure = draw_week(replace(ranking, meals=meals, told_apart=True), "mmol/L", VIENNA)
    first, second = sorted(_rails(figure))
    assert first[1] - first[0] == pytest.approx(2 * ROW - 20)
    assert second[1] - second[0] == pytest.approx(ROW - 20)
    assert second[0] - first[0] == pytest.approx(3 * ROW)
    assert "Bracketed: 2 others can't be told apart from the first" in words(figure)
    check_layout(figure)
    told = tuple(replace(meal, behind=float(k > 0)) for k, meal in enumerate(meals))
    assert not _rails(draw_week(replace(ranking, meals=told, told_apart=True), "mmol/L", VIENNA))


def test_two_portions_of_one_meal_are_told_by_their_carbs(hump: Make, words: Words) -> None:
    servings = [
        hump(rise=r * (1 + i / 50), carbs_g=g, entry_id=int(10 * r) + i)
        for r, g in ((0.3, 20.0), (4.5, 90.0))
        for i in range(4)
    ]
    ranking = rank_meals(servings)
    assert ranking.told_apart
    title = " ".join(words(draw_week(ranking, "mmol/L", VIENNA))[:4])
    assert "20 g carbs" in title
    assert "90 g carbs" in title


@pytest.mark.parametrize("n", [16, 17, 30])
def test_of_very_many_the_first_and_last_eight_are_drawn_and_said_so(
    rank: Callable[..., Ranking], words: Words, check_layout: Check, n: int
) -> None:
    ranking = rank(n)
    figure = draw_week(ranking, "mmol/L", VIENNA)
    drawn = [text for text in words(figure) if text.startswith("meal ")]
    titles = [meal.title for meal in ranking.meals]
    assert drawn == (titles if n == 16 else [*titles[:8], *titles[-8:]])
    between = [text for text in words(figure) if "not drawn" in text]
    assert between == ([] if n == 16 else [f"{n - 16} meal{'s' if n > 17 else ''} between these not drawn"])
    check_layout(figure)


def test_fourteen_meals_are_less_tall_than_six_once_were(rank: Callable[..., Ranking]) -> None:
    assert draw_week(rank(14), "mmol/L", VIENNA).bbox.height < 2010


def test_what_is_not_ranked_is_said_so(rank: Callable[..., Ranking], words: Words, hump: Make) -> None:
    ranking = replace(rank(3), left_out=((hump(), "it was the sensor's first day"),) * 2)
    note = "Not ranked: 2 servings, it was the sensor's first day."
    assert note in " ".join(words(draw_week(ranking, "mmol/L", VIENNA)))
    assert note in alt_week(ranking, "mmol/L", VIENNA)


def test_a_single_meal_is_neither_best_nor_worst(rank: Callable[..., Ranking], words: Words) -> None:
    said = words(draw_week(rank(1), "mmol/L", VIENNA))
    assert said[0].startswith("Only one meal has a score")
    assert not any("ost even" in text for text in said)


@pytest.mark.parametrize("unscored", [0, 2])
def test_nothing_scored_yet(
    rank: Callable[..., Ranking], words: Words, check_layout: Check, unit: str, unscored: int
) -> None:
    figure = draw_week(rank(0, unscored=unscored), unit, VIENNA)
    assert "No meal has a score yet." in words(figure)
    check_layout(figure)


@pytest.mark.parametrize("n", [1, 2, 3, 5, 12])
def test_nothing_collides_or_is_cut_off(
    rank: Callable[..., Ranking], check_layout: Check, unit: str, n: int
) -> None:
    titles = (
        "two slices of rye toast with butter, an egg and orange juice " * 2,
        "x" * 80,
        "白米饭",
        "خبز",
        "🍕",
    )
    figure = draw_week(rank(n, titles), unit, VIENNA)
    check_layout(figure)
    assert figure.bbox.width == 1080
    assert min(text.get_fontsize() for text in figure.findobj(Text) if text.get_text()) >= 34


def test_one_extreme_meal_flattens_no_other(
    rank: Callable[..., Ranking], hump: Make, check_layout: Check
) -> None:
    usual = [s for m in rank(3).meals for s in m.servings]
    figure = draw_week(rank_meals([*usual, hump(rise=25, key="z", title="z")]), "mg/dL", VIENNA)
    (page,) = figure.axes
    curves = [line for line in page.get_lines() if line.get_color() == RISE and line.get_marker() == "None"]
    heights = [np.ptp(line.get_ydata()) for line in curves]
    assert len(heights) == 4
    assert max(heights) <= CURVE_HEIGHT
    # rises of 0.5 to 1.8 mmol/L in one as high as 30: a fifth of the height, not the twentieth
    assert sorted(heights)[2] > CURVE_HEIGHT / 5
    assert sum(line.get_marker() == "^" for line in page.get_lines()) == 1
    check_layout(figure)
    (page,) = draw_week(rank_meals(usual), "mg/dL", VIENNA).axes
    assert not any(line.get_marker() == "^" for line in page.get_lines())


def test_time_above_the_reference_is_a_thick_stretch(rank: Callable[..., Ranking], hump: Make) -> None:
    low, high = hump(rise=1.0, key="a"), hump(rise=6.0, key="b", entry_id=2)
    (page,) = draw_week(rank_meals([low, high]), "mmol/L", VIENNA).axes
    thick = [line for line in page.get_lines() if line.get_color() == HIGH and line.get_linewidth() > 4]
    known = sorted(int(np.isfinite(line.get_ydata()).sum()) for line in thick)
    assert known == [int((average([high])[1] > 7.8).sum())]


def test_average_by_hand(serve: Make) -> None:
    first = serve([0, 60, 120], [5.0, 7.0, 5.0])
    second = serve([0, 60], [6.0, 9.0])
    minutes, mmol = average([first, second])
    assert minutes.tolist() == list(range(0, 121, 5))
    # At 0: (5+6)/2; at 30: (6+7.5)/2; at 60: (7+9)/2; at 90 only the first is left.
    assert mmol[[0, 6, 12, 18, 24]] == pytest.approx([5.5, 6.75, 8.0, 6.0, 5.0])
    none, _ = average([serve([], [])])
    assert none.size == 0
    far, _ = average([serve([200, 210], [5.0, 5.0])])
    assert far.size == 0


def test_alt_says_the_same(rank: Callable[..., Ranking]) -> None:
    said = alt_week(rank(6, unscored=1), "mg/dL", VIENNA)
    assert said.startswith(
        "Most even: meal 0. Least even: meal 5. 2 to 7 March: 6 meals, 12 servings, 1 without a score."
    )
    assert "From the most even: 1. meal 0, " in said
    assert "; 3 servings, 62 g carbs, peak " in said
    assert alt_week(rank(0), "mmol/L", VIENNA) == "No meal has a score yet. 0 meals, 0 servings."
