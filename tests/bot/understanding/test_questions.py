"""What is asked of the bot, on Monday 2 March 2026 at 10:00."""

import pytest

from bot.model.entries import Question
from bot.understanding import understand
from tests.bot.understanding.compact import context_at, read

QUESTIONS = [
    ("best and worst this week", "best_worst * 23.00:00 to 10:00"),
    ("best meals last week", "best_worst * 23.00:00 to 00:00"),
    ("what was my worst dinner this month", "best_worst dinner 01.00:00 to 10:00"),
    ("show me the best meals of the last 3 days", "best_worst * 28.00:00 to 10:00"),
    ("help", "help * - to -"),
    ("?", "help * - to -"),
    ("what can you do", "help * - to -"),
    ("status", "status * - to -"),
    ("when is the next reminder?", "status * - to -"),
    ("how was breakfast", "one_meal breakfast 00:00 to 10:00"),
    ("how was lunch", "one_meal lunch 01.00:00 to 00:00"),
    ("how was dinner yesterday", "one_meal dinner 01.00:00 to 00:00"),
    ("how was my last meal", "one_meal * - to -"),
    ("show me lunch", "one_meal lunch 01.00:00 to 00:00"),
    ("lunch?", "one_meal lunch 01.00:00 to 00:00"),
    ("how was the porridge", "one_meal porridge - to -"),
    ("how was today", "day * 00:00 to 10:00"),
    ("how was yesterday", "day * 01.00:00 to 00:00"),
    ("is rice bad for me?", "food rice - to -"),
    ("what does porridge do to me", "food porridge - to -"),
    ("which foods raise me the most", "food * - to -"),
    ("does walking help?", "habit walking - to -"),
    ("what is my fasting glucose", "fasting * - to -"),
    ("what should I eat tomorrow", "plan * - to -"),
    ("compare rice and pasta", "food rice - to -"),
    ("why?", "one_meal * - to -"),
    ("do i have diabetes?", "other * - to -"),
    ("how was lunch? 5.4 at 9:10", "one_meal lunch 01.00:00 to 00:00 | 5.40 09:10"),
    ("2 eggs. how was yesterday", "breakfast 10:00~: egg 100 | day * 01.00:00 to 00:00"),
]


@pytest.mark.parametrize(("text", "expected"), QUESTIONS)
def test_question_is_understood(table, text, expected):
    assert read(text, context_at("10:00", table)) == expected


@pytest.mark.parametrize("text", ["did 20 squats", "can of beer", "best of luck with 2 eggs"])
def test_note_that_begins_like_a_question_is_none(table, text):
    entries = understand(text, context_at("10:00", table)).entries
    assert not any(isinstance(entry, Question) for entry in entries)
