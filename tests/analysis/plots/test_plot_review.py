"""The picture of a week: its days, their scores, gaps and peaks; words that meet nothing."""

from collections.abc import Callable
from datetime import date, timedelta

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text

from analysis.plots.review import alt_review, draw_review, headline, scored
from analysis.results import DayTrace

MONDAY = date(2026, 3, 2)
ALL_DAY = np.arange(0.0, 1440.0, 5.0)


def trace(k: int, swing: float = 1.0, **more: object) -> DayTrace:
    mmol = 5.5 + swing * np.sin(ALL_DAY / 120.0)
    known: dict[str, object] = {
        "minutes": ALL_DAY,
        "mmol": mmol,
        "meals": ((430.0, "oats", "breakfast", 71.0 + k), (760.0, "rice", "lunch", 42.0)),
    }
    return DayTrace(MONDAY + timedelta(days=k), **(known | more))  # type: ignore[arg-type]


def words(figure: Figure) -> list[str]:
    return [text.get_text() for text in figure.findobj(Text) if text.get_text()]


WEEK = [trace(k, swing=0.5 + 0.2 * k) for k in range(7)]
CLOSE = tuple((600.0 + 20 * n, "bite", "snack", 60.0 - n) for n in range(12))
EMPTY = {"minutes": np.empty(0), "mmol": np.empty(0)}
UGLY = [
    trace(0, meals=CLOSE),
    trace(1, mmol=np.where(ALL_DAY < 700, 19.5, 5.0)),
    trace(2, **EMPTY),
    trace(3, meals=(), **EMPTY),
    trace(4, minutes=ALL_DAY[:3], mmol=np.array([4.0, 2.1, 3.0])),
    trace(5, meals=((0.0, "late bite", "snack", 100.0), (1439.0, "last", "snack", 0.0))),
    trace(6, meals=((500.0, "soup", "lunch", None),)),
]


@pytest.mark.parametrize("unit", ["mmol/L", "mg/dL"])
@pytest.mark.parametrize("days", [WEEK, UGLY, UGLY[2:4], WEEK[:1]])
def test_no_words_meet(days: list[DayTrace], unit: str, check_layout: Callable[[Figure], None]) -> None:
    figure = draw_review(days, unit)
    check_layout(figure)
    assert f"mean, {unit}" in words(figure)


def test_each_day_has_its_mean_and_scores() -> None:
    figure = draw_review(WEEK, "mmol/L")
    said = words(figure)
    assert said.count("42") == 7
    assert [f"{71 + k}" in said for k in range(7)] == [True] * 7
    assert "Mon" in said
    assert "Widest swings on Sunday, smallest on Monday" in said


def test_of_meals_close_together_the_least_even_is_numbered() -> None:
    said = words(draw_review(UGLY[:1], "mmol/L"))
    numbers = [word for word in said if word.isdigit()]
    assert "49" in numbers  # the lowest of the twelve
    assert len(numbers) < 12


def test_it_is_said_in_words() -> None:
    said = alt_review(UGLY, "mg/dL")
    assert "Wed: no readings; evenness 73, 42." in said
    assert "Thu: no readings." in said
    assert "1 without a score" in said
    assert "mg/dL" in said
    assert alt_review(UGLY[2:4], "mmol/L").startswith("Your week, 4 to 5 March. Too few readings")
    assert headline(WEEK[:1]) == "Too few readings to set days side by side"
    assert scored(UGLY[6]) == []
