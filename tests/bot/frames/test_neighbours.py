"""A meal close to another one has one curve, in whichever span it is asked for."""

from collections.abc import Iterator
from datetime import datetime, timedelta

import numpy as np
import pytest

from analysis.overlap import SEPARATED
from analysis.results import Serving
from bot.frames.servings import serving_of, servings_between
from tests.talk import MORNING, Talk, readings_csv, talking

BREAD, RICE = MORNING + timedelta(minutes=30), MORNING + timedelta(minutes=105)
MINUTES = np.arange(-30.0, 241, 5)


def swell(minutes: np.ndarray, rise: float, top: float) -> np.ndarray:
    share = np.clip(minutes, 0, None) / top
    swollen: np.ndarray = rise * (share * np.exp(1 - share)) ** 2
    return swollen


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        one.at("07:30").say("100 g white bread at 7:30")
        one.at("08:45").say("200 g cooked rice at 8:45")
        one.at("11:05").file(
            readings_csv(MORNING, list(5 + swell(MINUTES, 3, 35) + swell(MINUTES - 75, 3, 40)))
        )
        yield one


def find(talk: Talk, since: datetime, until: datetime) -> dict[datetime, Serving]:
    with talk.app.store.read() as tx:
        person = tx.people.get(talk.person)
        assert person is not None
        return {serving.at: serving for serving in servings_between(tx, person, since, until)}


@pytest.mark.parametrize("bite", [BREAD, RICE])
def test_the_span_does_not_matter(talk: Talk, bite: datetime) -> None:
    week = find(talk, MORNING - timedelta(days=7), MORNING + timedelta(days=1))
    alone = find(talk, bite, bite + timedelta(minutes=1))
    assert set(alone) == {bite}
    logged = next(meal for meal in talk.meals() if meal.at == bite)
    with talk.app.store.read() as tx:
        person = tx.people.get(talk.person)
        assert person is not None
        asked, _ = serving_of(tx, person, logged)
    assert week[bite].curve == alone[bite].curve == asked.curve
    assert asked.curve is not None
    assert asked.curve.variant == SEPARATED
    assert week[bite].evenness == alone[bite].evenness == asked.evenness


def test_what_was_taken_off_is_said(talk: Talk) -> None:
    said = talk.say("how was the bread?")
    assert "From 5.0 at the first bite to 8.0 mmol/L after 35 min; " in said
    assert "With the meal close by taken off it rose 3.0." in said
    assert "Take this score as rough: the next meal came after 75 min, and I took its rise off." in said
