"""A new user's month from the first hello to the report: what must hold, and how much is said."""

import pytest

from bot.reply import fixed
from bot.talk.brief import sentences_of
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


def test_an_ordinary_day_has_eight_messages_and_250_words_at_most(played: Month) -> None:
    ordinary = [day for day in count(played) if day.is_ordinary]
    assert len(ordinary) >= 8
    assert max(day.messages for day in ordinary) <= 8
    assert max(day.words for day in ordinary) <= 250
    assert all(_curves_on(played, day.number) for day in ordinary)


def _curves_on(played: Month, day: int) -> int:
    drawn = [picture for said in played.said if said.day == day for picture in said.message.drawn]
    return sum(picture.kind == "curve" for picture in drawn)


def test_every_meal_with_readings_had_its_curve_shown_once(played: Month) -> None:
    drawn = [picture for said in played.said if not said.message.whole for picture in said.message.drawn]
    curves = [picture.entry_id for picture in drawn if picture.kind == "curve"]
    assert len(curves) == len(set(curves))
    assert len(curves) >= 70


def test_no_sentence_comes_twice_a_day(played: Month) -> None:
    """Answers to a question are whole, whatever was said before."""
    twice = []
    for day in {said.day for said in played.said}:
        unasked = [said for said in played.said if said.day == day and not said.message.whole]
        sentences = [s for said in unasked for s in sentences_of(said.message.text)]
        long = [sentence for sentence in sentences if len(sentence.split()) >= 5]
        twice += [(day, sentence) for sentence in set(long) if long.count(sentence) > 1]
    assert twice == []


def test_what_was_lost_is_always_said(played: Month) -> None:
    """A day between two sensors apart, each hole in the readings was told when the next file came."""
    told = [said for said in played.said if "the sensor no longer had these" in said.message.text]
    assert len(told) >= 3
