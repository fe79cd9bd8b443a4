"""Which analysis over days some words ask for."""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from bot.understanding.questions.days_questions import find_kind, read_days_question

from bot.model.entries import Question
from bot.understanding import Context, understand
from tests.bot.understanding.compact import context_at
from tests.bot.understanding.small_table import build_small_table

VIENNA = ZoneInfo("Europe/Vienna")
NOW = datetime(2026, 3, 16, 20, 0, tzinfo=VIENNA)
CONTEXT = Context(NOW, VIENNA, build_small_table())


@pytest.mark.parametrize(
    ("said", "kind"),
    [
        ("average day", "average"),
        ("what does my average day look like", "average"),
        ("weekdays against weekends", "weekends"),
        ("how do my weekends compare with weekdays?", "weekends"),
        ("average weekday", "weekends"),
        ("my mean day", "average"),
        ("summary", "summary"),
        ("how steady am I?", "summary"),
        ("what is my average glucose", "summary"),
        ("time in range", "summary"),
        ("what's my A1c", "a1c"),
        ("estimated HbA1c?", "a1c"),
        ("how long between meals", "eating"),
        ("when do I usually eat", "eating"),
        ("how long do I go without eating", "eating"),
        ("how was lunch", None),
        ("show Tuesday", None),
        ("compare porridge and toast", None),
        ("average", None),
        ("how was the weekend", None),
        ("day old bread", None),
    ],
)
def test_kinds(said: str, kind: str | None) -> None:
    assert find_kind(said) == kind


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
    question = read_days_question(said, CONTEXT)
    assert question is not None
    assert (question.since, question.said) == (None, said)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("avrage day", "average"),
        ("tipical day", "average"),
        ("wekdays against wekends", "weekends"),
        ("week vs the weekend", "weekends"),
        ("Weekdays agianst weekends", "weekends"),
    ],
)
def test_typed_in_a_hurry_or_said_in_short(typed: str, meant: str) -> None:
    question = read_days_question(typed, CONTEXT)
    assert question is not None
    assert (find_kind(question.said), question.since) == (meant, None)


def test_the_span_is_read() -> None:
    question = read_days_question("summary of last week", CONTEXT)
    assert question is not None
    assert question.since == datetime(2026, 3, 9, tzinfo=VIENNA)
    assert question.until == datetime(2026, 3, 16, tzinfo=VIENNA)
    question = read_days_question("average day over the last 3 days", CONTEXT)
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
    assert read_days_question(said, CONTEXT) is None
