"""Each kind of picture is drawn from its spec, for plain and for ugly data, in the person's unit."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

import pytest

from bot.model.entries import Meal
from bot.model.messages import PictureSpec
from tests.talk import MORNING, Talk, readings_csv, talking

PNG = b"\x89PNG\r\n\x1a\n"
RISE = [5.0] * 6 + [5.4, 6.2, 7.1, 7.9, 8.2, 8.0, 7.6, 7.1, 6.7, 6.3, 6.0, 5.8, 5.6, 5.4, 5.3] + [5.2] * 19


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        yield one


def eat(talk: Talk, days: int) -> None:
    for day in range(days):
        plate = "60 g oats" if day % 2 else "80 g white toast"
        talk.at("07:30", days=day).say(f"{plate} at 7:30")
        talk.at("10:20", days=day).file(readings_csv(MORNING + timedelta(days=day), RISE))


def drawn(talk: Talk, question: str) -> str:
    """Ask, draw the picture that comes with the answer, and return its words."""
    talk.say(question)
    spec = talk.heard[-1].picture
    assert spec is not None, talk.heard[-1].text
    picture = talk.app.draw(spec, talk.person)
    assert picture.png.startswith(PNG)
    return picture.alt


@pytest.mark.parametrize("unit", ["mmol/L", "mg/dL"])
def test_every_question_of_days_has_its_picture(talk: Talk, unit: str) -> None:
    talk.say(f"/unit {unit}")
    eat(talk, 7)
    other = {"mmol/L": "mg/dL", "mg/dL": "mmol/L"}[unit]
    for question, words in (
        ("show Tuesday", "Tuesday 3 March"),
        ("average day", "Average day, 2 to 8 March"),
        ("weekdays against weekends", "Week and weekend, 2 to 8 March"),
        ("compare oats and toast", "oats (3 servings"),
        ("what's my fasting", "Fasting"),
    ):
        alt = drawn(talk, question)
        assert words in alt
        assert other not in alt


def test_a_comparison_leads_with_the_verdict_of_the_answer(talk: Talk) -> None:
    eat(talk, 7)
    alt = drawn(talk, "compare oats and toast")
    first, second = alt.split(". ")[:2]
    assert first.startswith("Too early to judge: I look at six servings each")
    assert first in talk.heard[-1].text
    assert second.startswith("toast minus oats: ")


def test_a_day_with_one_typed_reading_and_one_without_any(talk: Talk) -> None:
    talk.at("12:00").say("an apple at 10:00")
    assert "Monday 2 March" in drawn(talk, "show today")
    talk.say("5.4 at 11:30")
    assert "5.4" in drawn(talk, "show today")


def test_forty_meals_with_long_names_in_a_day(talk: Talk) -> None:
    eat(talk, 1)
    plate = "an apple, 100 g سلطة and 50 g grandmothersverylongnamedwinterstew 寿司"
    talk.at("11:00").note(plate)
    with talk.app.store.begin() as tx:  # said so often at once, it would be asked about
        meal = tx.log.last(talk.person)[0].entry
        assert isinstance(meal, Meal)
        assert meal.at is not None
        for k in range(1, 40):
            again = replace(meal, at=meal.at + timedelta(minutes=k))
            at = talk.clock.now()
            tx.log.add(talk.person, again, update_id=f"m{k}", ordinal=0, message_id=None, at=at)
    talk.at("11:45")
    assert "41 meals" in drawn(talk, "show today")


def test_what_is_no_longer_there_is_a_lookup_error(talk: Talk) -> None:
    eat(talk, 4)
    talk.say("compare oats and toast")
    spec = talk.heard[-1].picture
    assert spec is not None
    with talk.app.store.begin() as tx:
        for entry_id in spec.groups[0][1]:
            tx.log.remove(entry_id, update_id="gone", at=MORNING)
    with pytest.raises(LookupError):
        talk.app.draw(spec, talk.person)
    with pytest.raises(LookupError):
        talk.app.draw(PictureSpec("compare", "c", groups=(("a", (99,)), ("b", (1,)))), talk.person)
    far = MORNING - timedelta(days=100)
    for kind in ("average", "two", "fasting"):
        with pytest.raises(LookupError):
            talk.app.draw(PictureSpec(kind, "x", since=far, until=far + timedelta(days=1)), talk.person)  # type: ignore[arg-type]
    with pytest.raises(LookupError):
        talk.app.draw(spec, "nobody")
