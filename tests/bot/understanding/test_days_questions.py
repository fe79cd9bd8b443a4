"""Which analysis over days some words ask for."""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from bot.model.entries import Question
from bot.understanding import Context, understand
from bot.understanding.questions.questions import SURE_COST, read_asked
from bot.understanding.words.mending import mend
from tests.bot.understanding.compact import context_at
from tests.bot.understanding.small_table import build_small_table

VIENNA = ZoneInfo("Europe/Vienna")
NOW = datetime(2026, 3, 16, 20, 0, tzinfo=VIENNA)
CONTEXT = Context(NOW, VIENNA, build_small_table())


def asked(said: str) -> Question | None:
    found = read_asked(mend(said, CONTEXT.table), CONTEXT)
    question = None if found is None or found.cost >= SURE_COST else found.entries[0]
    return question if isinstance(question, Question) else None


@pytest.mark.parametrize(
    ("said", "kind"),
    [
        ("average day", "average day"),
        ("what does my average day look like", "average day"),
        ("weekdays against weekends", "weekends"),
        ("how do my weekends compare with weekdays?", "weekends"),
        ("average weekday", "weekends"),
        ("my mean day", "average day"),
        ("summary", "summary"),
        ("how steady am I?", "summary"),
        ("what is my average glucose", "summary"),
        ("time in range", "summary"),
        ("what's my A1c", "a1c"),
        ("estimated HbA1c?", "a1c"),
        ("how long between meals", "eating window"),
        ("when do I usually eat", "eating window"),
        ("how long do I go without eating", "eating window"),
        ("how was lunch", "curve"),
        ("show Tuesday", "day"),
        ("compare porridge and toast", "compare"),
        ("how was the weekend", "day"),
        ("day old bread", None),
    ],
)
def test_kinds(said: str, kind: str | None) -> None:
    question = asked(said)
    assert (question and question.sort) == kind


@pytest.mark.parametrize(
    "said",
    [
        "summary",
        "Summary please",
        "weekdays against weekends",
        "compare weekdays and weekends",
        "eating times",
        "time in range",
        "estimate my a1c",
        "my typical day?",
        "average weekday",
        "mean day",
        "weekdays v weekends",
        "weekends compared to weekdays",
    ],
)
def test_a_message_that_is_nothing_else(said: str) -> None:
    question = asked(said)
    assert question is not None
    assert question.since is None


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("avrage day", "average day"),
        ("tipical day", "average day"),
        ("wekdays against wekends", "weekends"),
        ("week vs the weekend", "weekends"),
        ("Weekdays agianst weekends", "weekends"),
    ],
)
def test_typed_in_a_hurry_or_said_in_short(typed: str, meant: str) -> None:
    question = asked(typed)
    assert question is not None
    assert (question.sort, question.since) == (meant, None)


def test_the_span_is_read() -> None:
    question = asked("summary of last week")
    assert question is not None
    assert question.since == datetime(2026, 3, 9, tzinfo=VIENNA)
    assert question.until == datetime(2026, 3, 16, tzinfo=VIENNA)
    question = asked("average day over the last 3 days")
    assert question is not None
    assert question.since == datetime(2026, 3, 14, tzinfo=VIENNA)


@pytest.mark.parametrize(
    ("said", "about"),
    [("summary", "day"), ("weekdays against weekends", "day"), ("time in range", "day"), ("a1c", "other")],
)
def test_understanding_shows_it_as_a_question(said: str, about: str) -> None:
    (entry,) = understand(said, context_at("20:00", build_small_table())).entries
    assert isinstance(entry, Question)
    assert (entry.about, entry.said) == (about, said)


@pytest.mark.parametrize(
    "said", ["2 eggs", "summary of toast with butter", "average portion of rice", "5.4", "", "a " * 400]
)
def test_a_note_is_none(said: str) -> None:
    assert asked(said) is None
