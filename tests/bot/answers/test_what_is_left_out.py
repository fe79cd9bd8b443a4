"""Dips of lying on the sensor, readings beyond its range, and slow responses, as they are said."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from analysis.results import Curve, Evenness, RankedMeal, Ranking, Serving
from bot.frames.one_day import trace_day
from bot.reply.results import best_and_worst, scored
from tests.bot.answers.test_days import RISE, local
from tests.talk import MORNING, Talk, readings_csv, talking

PRESSED = [5.0] * 16 + [2.9] * 12 + RISE
"""From two hours and twenty minutes before 7:00 on; somebody lay on the sensor from 6:00 to 6:55."""


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        yield one


def test_a_dip_before_breakfast_is_said_and_costs_nothing(talk: Talk) -> None:
    talk.at("07:08").say("100 g white bread at 7:05")
    start = MORNING - timedelta(minutes=140)
    talk.at("10:20").file(readings_csv(start, PRESSED))
    said = talk.say("show today")
    assert "Left out: 06:00 to 06:55, a dip like that of lying on the sensor." in said
    assert "lowest 5.0 mmol/L" in said
    assert "below" not in said
    with talk.app.store.begin() as tx:
        person = tx.people.get(talk.person)
        assert person is not None
        trace = trace_day(tx, person, local(0), local(1))
    assert len(trace.pressed) == 12
    assert not {minute for minute, _ in trace.pressed} & set(trace.minutes.tolist())


def serving(title: str, score: float, flags: tuple[str, ...] = ()) -> Serving:
    curve = Curve(5.0, 3, 6.0, 1.0, 60.0, 60.0, 5.5, 0.0, 0.0, None, 1.0, flags, area_3h=90.0, area_4h=115.0)
    evenness = Evenness(
        score, {"rise": 100 - score, "area": 0.0, "high": 0.0, "dip": 0.0}, score - 9, score + 5
    )
    at = datetime(2026, 3, 2, 12, tzinfo=UTC)
    return Serving(1, at, "lunch", title, title, 50.0, np.empty(0), np.empty(0), curve, evenness)


SLOW = ("slow: half of its response came after two hours",)


def test_a_slow_response_is_said_beside_its_score() -> None:
    one = serving("pizza", 78, SLOW)
    said = scored(one, (), zone=UTC, unit="mmol/L", now=one.at)
    assert "Slow: half of its response came after two hours, which the score does not see." in said
    assert "as rough" not in said


@pytest.mark.parametrize("apart", [True, False])
def test_the_most_even_meal_is_said_to_be_slow_where_it_is(apart: bool) -> None:
    def rank(flags: tuple[str, ...]) -> str:
        first = RankedMeal("pizza", "pizza", (serving("pizza", 78, flags),), 78, 70, 84)
        last = RankedMeal("bread", "bread", (serving("bread", 40),), 40, 30, 50, 0.97 if apart else 0.6)
        return best_and_worst(Ranking((first, last), (), told_apart=apart))

    assert "Pizza is slow, too: half of its response came after two hours" in rank(SLOW)
    assert "slow" not in rank(())
