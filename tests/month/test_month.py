"""A new user's month from the first hello to the report: what must hold, and how much is said."""

import pytest

from bot.reply import fixed
from tests.month.counts import count
from tests.month.play import Month, played_month
from tests.month.script import FILE


@pytest.fixture(scope="module")
def played() -> Month:
    return played_month()


def test_nothing_broke_and_every_meal_is_noted(played: Month) -> None:
    broken = (fixed.BROKEN, fixed.BROKEN_KEPT)
    assert not [said for said in played.said if said.message.text in broken]
    said = sum(step.kind == "meal" for step in played.steps)
    assert said == 84
    assert len(played.meals) == said - 1  # one was taken back


def test_the_corrections_were_made(played: Month) -> None:
    plates = [[(item.name, round(item.grams)) for item in meal.items] for meal in played.meals]
    assert any(("cooked rice", 200) in plate for plate in plates)
    assert any(("pear", grams) in plate for plate in plates for grams in range(100, 250))
    assert any(name == "coffee" for plate in plates for name, _ in plate)


def test_no_more_readings_are_lost_than_the_month_itself_loses(played: Month) -> None:
    """Of what two sensors measure, what is never within eight hours of a sync of this month cannot be had."""
    syncs = [step.at for step in played.steps if step.text == FILE]
    assert len(syncs) >= 80
    assert played.readings > 0.93 * (27 * 288 - 24)


def test_the_month_ends_with_the_report(played: Month) -> None:
    assert [said for said in played.said if said.message.picture and said.message.picture.kind == "report"]


def test_ordinary_days_are_counted(played: Month) -> None:
    ordinary = [day for day in count(played) if day.is_ordinary]
    assert len(ordinary) >= 8
