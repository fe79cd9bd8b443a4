"""Words that nothing was made of: three things that come nearest, each of which its button does."""

from collections.abc import Iterator
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from bot.foodtable import load_table
from bot.reply.can_do import OFFER, PRESS, SAYABLE, offer
from bot.reply.help import Example
from bot.understanding import Context
from bot.understanding.questions.nearest import nearest_sorts
from bot.understanding.questions.sorts import ABOUT
from tests.talk import Talk, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as talk:
        yield talk


@pytest.mark.parametrize(
    ("words", "sort"),
    [
        ("steadier lately", "progress"),
        ("my sensor, how old", "sensor"),
        ("highest foods list", "which foods"),
        ("walking afterwards any good", "lever"),
        ("waking level", "fasting"),
    ],
)
def test_the_sort_that_words_are_likest_to_is_among_three(words: str, sort: str) -> None:
    context = Context(
        now=datetime(2026, 3, 2, 12, tzinfo=UTC), zone=ZoneInfo("Europe/Vienna"), table=load_table()
    )
    offered = [one for one in nearest_sorts(words, context) if one in SAYABLE][:3]
    assert sort in offered


@pytest.mark.parametrize("words", ["flurbel grmpf", "who won the match?", "sing me a song"])
def test_three_buttons_that_do_what_they_say(talk: Talk, words: str) -> None:
    talk.note("80 g bulgur with lentils")
    assert OFFER in talk.say(words)
    shown = talk.heard[-1]
    assert len(shown.buttons) == 3
    for button in shown.buttons:
        pressed = talk.send(press=button.data, message_id=f"bot-{shown.id}")
        assert pressed == talk.say(button.label)
        assert OFFER not in pressed


def test_what_is_offered_can_be_said(talk: Talk) -> None:
    """Every sentence that may be offered is understood, and none is taken for a note or a setting."""
    talk.note("80 g bulgur at 6:30")
    for sort in SAYABLE:
        (button,) = offer([sort], Example("80 g bulgur", "bulgur", "breakfast"), most=1)
        answer = talk.send(press=button.data, message_id="bot-1")
        assert OFFER not in answer, button.label
        assert "didn't understand" not in answer, button.label
    assert len(talk.meals()) == 1
    assert len(talk.logged("activity", "sync", "sensor", "feeling", "reading")) == 0


def test_nothing_that_ends_shares_or_doctors_is_offered() -> None:
    assert not {"trial stop", "trial later", "share", "medicine", "diagnosis", "a1c", "unknown"} & {*SAYABLE}
    assert {*SAYABLE} <= {*ABOUT}
    assert all(button.data.startswith(f"{PRESS}:") for button in offer(SAYABLE, Example(), most=99))


def test_what_was_understood_gets_no_offer(talk: Talk) -> None:
    for words in ("an apple", "summary", "104", "walked 10 min", "I can't stand celery"):
        assert OFFER not in talk.say(words)
