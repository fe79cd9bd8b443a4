"""The picture of two kinds of day over each other, tested on its artists."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from matplotlib.figure import Figure

from analysis.day import AverageDay, average_day
from analysis.plots.style import RISE, SECOND
from analysis.plots.two import alt_two, draw_two, tell_apart
from tests.analysis.plots.test_plot_average import LONG, play

TAGS = ("weekday", "weekend")
Check = Callable[[Figure], None]
Words = Callable[[Figure], list[str]]


def weekends(n: int, height: float = 1.0) -> AverageDay:
    return average_day(play(n, height), weekends=True)


def test_draws_the_two_medians(words: Words, check_layout: Check) -> None:
    day = weekends(28)
    figure = draw_two(day, "mmol/L", "Week and weekend", TAGS)
    check_layout(figure)
    (axes,) = figure.axes
    for tag, color in zip(TAGS, (RISE, SECOND), strict=True):
        drawn = [v for line in axes.get_lines() if line.get_color() == color for v in line.get_ydata()]
        assert drawn == [b.median for b in day.bins[tag]]
        assert tag in words(figure)


def test_says_first_when_they_part() -> None:
    day = replace(weekends(28), apart={600: 1.2, 660: 0.9, 1080: -0.7})
    assert tell_apart(day, TAGS) == "They part beyond chance from 10:00 to 12:00 and from 18:00 to 19:00"
    alt = alt_two(day, "mmol/L", "Week and weekend", TAGS)
    assert alt.startswith(
        "They part beyond chance from 10:00 to 12:00 and from 18:00 to 19:00. Most from 10:00 to 11:00, "
        "where the mean of weekday is 1.2 mmol/L higher. Week and weekend: weekday, 20 days, the "
    )
    lower = replace(day, apart={600: -1.2})
    assert "the mean of weekend is 1.2 mmol/L higher" in alt_two(lower, "mmol/L", "x", TAGS)
    many = replace(day, apart={0: 0.5, 300: 0.5, 600: -1.2})
    assert tell_apart(many, TAGS) == "They part beyond chance in 3 hours, most around 10:00"


def test_no_hour_and_too_few_days() -> None:
    day = weekends(28)
    assert tell_apart(replace(day, apart={}), TAGS) == "No hour in which they part beyond chance"
    assert tell_apart(weekends(6), TAGS) == "Too early to tell them apart: that takes 4 days of each"


@pytest.mark.parametrize("apart", [{}, {0: 1.0, 1380: -1.0}, {60 * h: 0.4 for h in range(24)}])
@pytest.mark.parametrize(("n", "height"), [(6, 1.0), (28, 6.0), (28, 0.1)])
def test_nothing_collides(
    n: int, height: float, apart: dict[int, float], unit: str, check_layout: Check
) -> None:
    figure = draw_two(replace(weekends(n, height), apart=apart), unit, LONG, TAGS)
    check_layout(figure)
    low, high = figure.axes[0].get_ylim()
    assert all(low < b.median < high for of in weekends(n, height).bins.values() for b in of)


def test_any_two_tags(check_layout: Check, words: Words) -> None:
    frame = play(6)
    days = sorted(frame["day_on"].dt.date.unique())
    names = ("خبز مع زبدة and a very long name of a tag, which goes on and on", "🍕")
    tags = {day: names[i % 2] for i, day in enumerate(days)}
    figure = draw_two(average_day(frame, tags=tags), "mmol/L", LONG, names)
    check_layout(figure)
    assert "2" in words(figure)


def test_a_kind_without_days_is_said(check_layout: Check) -> None:
    day = average_day(play(5), weekends=True)
    assert "weekend" not in day.bins
    check_layout(draw_two(day, "mmol/L", "Week and weekend", TAGS))
    assert "weekend, 0 days" in alt_two(day, "mmol/L", "Week and weekend", TAGS)
