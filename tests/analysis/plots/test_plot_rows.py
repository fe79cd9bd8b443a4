"""The run as a calendar and the times of eating, tested on their artists."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

import pytest
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from analysis.eating import Eating, EatingDay
from analysis.plots.eating import alt_eating, draw_eating
from analysis.plots.rows import DAYS_MOST
from analysis.plots.run import alt_run, draw_run
from analysis.plots.style import INK, PAPER
from analysis.run import RunDay

MONDAY = date(2026, 3, 2)
AT = datetime(2026, 3, 2, tzinfo=UTC)
Check = Callable[[Figure], None]
Words = Callable[[Figure], list[str]]


def run_of(n: int) -> list[RunDay]:
    found = []
    for k in range(n):
        read = ((400.0, 1440.0),) if k % 3 == 1 else ((0.0, 1440.0),)
        meals = tuple((430.0 + 3 * m, m % 4 > 0) for m in range(40)) if k == 0 else ((760.0, True),)
        sensors = (540.0, 560.0) if k == 0 else ()
        day = MONDAY + timedelta(days=k)
        share = (1440 - read[0][0]) / 1440
        found.append(RunDay(day, read, share, meals, sensors, (0.0, 360.0), k % 3 == 1))
    return found


def eating_of(n: int, bites: tuple[float, ...] = (430.0, 760.0, 1500.0)) -> Eating:
    days = tuple(
        EatingDay(MONDAY + timedelta(days=k), len(bites), AT, AT, bites[0], bites[-1], 11.5, None, bites)
        for k in range(n)
    )
    return Eating(days, 3, bites[0], bites[-1], 11.5, None, 4.25 if len(bites) > 1 else None)


def dots(figure: Figure) -> list[Line2D]:
    return [line for line in figure.findobj(Line2D) if line.get_marker() == "o"]


@pytest.mark.parametrize("n", [1, 2, 14, 31, 90])
def test_nothing_collides(n: int, check_layout: Check, words: Words) -> None:
    for figure in (draw_run(run_of(n)), draw_eating(eating_of(n)), draw_eating(eating_of(n, (240.0,)))):
        check_layout(figure)
        few = [text for text in words(figure) if text.startswith(f"The latest {DAYS_MOST} of {n} days")]
        assert len(few) == (n > DAYS_MOST)


def test_the_run_draws_each_meal_and_night(words: Words) -> None:
    figure = draw_run(run_of(5))
    hollow = [dot for dot in dots(figure) if dot.get_markerfacecolor() == PAPER]
    filled = [dot for dot in dots(figure) if dot.get_markerfacecolor() == INK]
    assert (len(filled), len(hollow)) == (30 + 4 + 1, 10 + 1)  # the last ones are in the key
    assert {"Mon 2 Mar", "100 %", "72 %", "night lost", "new sensor"} <= set(words(figure))


def test_the_run_says_first_how_complete_it_is() -> None:
    alt = alt_run(run_of(5))
    share = round(100 * (3 + 2 * 1040 / 1440) / 5)
    assert alt.startswith(
        f"{share} % of 5 days was read, 2 nights are lost. Your run, 2 to 6 March: 44 meals, 34"
    )
    assert "Nights lost: before the morning of Tue 3 Mar, Fri 6 Mar." in alt
    whole = [RunDay(MONDAY, ((0.0, 1440.0),), 1.0, (), (), (0.0, 360.0), False)]
    assert (
        alt_run(whole) == "100 % of 1 day was read, no night is lost. Your run, 2 March: 0 meals, 0 scored."
    )


def test_eating_draws_each_bite() -> None:
    figure = draw_eating(eating_of(5))
    assert len(dots(figure)) == 3 * 5 + 1  # the last one is in the key
    alt = alt_eating(eating_of(5))
    assert alt.startswith(
        "Usually 07:10 to 01:00, 4 h 15 min between meals. When you eat, 2 to 6 March: 15 times"
    )
    assert alt_eating(eating_of(2)).startswith("2 days so far; what is usual takes 3.")
