from collections.abc import Callable
from datetime import timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text

from analysis.plots.style import FAINT, HAIRLINE
from analysis.plots.week import DRAWN_MOST, alt_week, average, draw_week, split
from analysis.ranking import rank_meals
from analysis.results import Ranking, Serving
from analysis.units import per_mmol

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


def test_many_servings_are_thinned_and_said_so(hump: Make, words: Words) -> None:
    servings = [hump(rise=2.0, key="k0", entry_id=i) for i in range(DRAWN_MOST + 8)]
    figure = draw_week(rank_meals([*servings, hump(rise=4.0, key="k1", entry_id=99)]), "mmol/L", VIENNA)
    faint = [sum(line.get_color() == FAINT for line in axes.get_lines()) for axes in figure.axes]
    assert faint == [DRAWN_MOST, 0]
    assert f"{DRAWN_MOST + 8} servings" in words(figure)
    assert "Dark line: the average. Faint lines: some of the servings." in words(figure)


def test_shows_most_and_least_even(rank: Callable[..., Ranking], words: Words, check_layout: Check) -> None:
    ranking = rank(8, unscored=2)
    figure = draw_week(ranking, "mmol/L", VIENNA)
    said = words(figure)
    assert said[0] == "Meals, 2 to 8 March"
    assert said[1] == "8 meals, 15 servings, 2 without a score"
    order = [text for text in said if text.startswith("meal ")]
    assert order == [meal.title for meal in (*ranking.meals[:3], *ranking.meals[-3:])]
    assert [text for text in said if text.startswith("no. ")] == [f"no. {n}" for n in (1, 2, 3, 6, 7, 8)]
    assert f"{ranking.meals[0].score:.0f}" in said
    for text in ("Most even", "Least even", "3 servings", "62 g carbs", "mmol/L", "120 min", "7.8"):
        assert text in said
    singles = sum(len(meal.servings) == 1 for meal in (*ranking.meals[:3], *ranking.meals[-3:]))
    assert singles > 0
    assert said.count("1 serving: no verdict yet") == singles
    check_layout(figure)


@pytest.mark.parametrize("n", range(9))
@pytest.mark.parametrize(("best", "worst"), [(3, 3), (1, 1), (5, 1), (2, 0), (0, 2)])
def test_no_meal_is_in_both_sections(rank: Callable[..., Ranking], n: int, best: int, worst: int) -> None:
    sections = split(rank(n), best, worst)
    shown = [place for _, meals in sections for place, _ in meals]
    assert shown == sorted(set(shown))
    if n < 2:
        assert shown == list(range(1, n + 1))
        return
    # Half the ranking at most stands on either side: the middle of three is neither.
    most, least = min(best, n // 2), min(worst, n // 2)
    assert shown == [*range(1, most + 1), *range(n - least + 1, n + 1)]


def test_a_single_meal_is_neither_best_nor_worst(rank: Callable[..., Ranking], words: Words) -> None:
    said = words(draw_week(rank(1), "mmol/L", VIENNA))
    assert "The only meal with a score" in said
    assert "Most even" not in said


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


def test_one_scale_for_all_rows(rank: Callable[..., Ranking], hump: Make, check_layout: Check) -> None:
    ranking = rank_meals([*(s for m in rank(3).meals for s in m.servings), hump(rise=25, key="z", title="z")])
    figure = draw_week(ranking, "mg/dL", VIENNA)
    assert len({axes.get_ylim() for axes in figure.axes}) == 1
    assert figure.axes[0].get_ylim()[1] > 30
    check_layout(figure)


@pytest.mark.parametrize("rise", [3, 8, 25])
def test_every_line_of_the_small_scales_has_its_value(
    rank: Callable[..., Ranking], hump: Make, words: Words, unit: str, rise: float
) -> None:
    ranking = rank_meals(
        [*(s for m in rank(3).meals for s in m.servings), hump(rise=rise, key="z", title="z")]
    )
    figure = draw_week(ranking, unit, VIENNA)
    drawn = [
        f"{line.get_ydata()[0] * per_mmol(unit):.0f}"
        for axes in figure.axes
        for line in axes.get_lines()
        if line.get_color() == HAIRLINE
    ]
    said = words(figure)
    assert drawn
    assert all(said.count(value) >= drawn.count(value) for value in drawn)


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


def test_draws_average_and_servings(rank: Callable[..., Ranking]) -> None:
    ranking = rank(4)
    figure = draw_week(ranking, "mmol/L", VIENNA)
    for axes, meal in zip(figure.axes, ranking.meals, strict=True):
        curves = [line for line in axes.get_lines() if np.size(line.get_xdata()) > 2]
        n = len(meal.servings)
        assert len(curves) == (n + 1 if n > 1 else 1)
        assert np.array_equal(curves[-1].get_ydata(), average(meal.servings)[1])


def test_alt_says_the_same(rank: Callable[..., Ranking]) -> None:
    said = alt_week(rank(6, unscored=1), "mg/dL", VIENNA)
    assert said.startswith(
        "Meals, 2 to 7 March: 6 meals, 12 servings, 1 without a score. Most even: 1. meal 0, "
    )
    assert "Least even: 4. meal 3, " in said
    assert " mg/dL (1 serving: no verdict yet)" in said
    assert alt_week(rank(0), "mmol/L", VIENNA) == "Meals: 0 meals, 0 servings. No meal has a score yet."
