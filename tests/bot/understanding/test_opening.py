"""Clauses that begin without a separator; the expected lines were read through by eye."""

import pytest

from tests.bot.understanding.compact import context_at, read

NOTES = [
    (
        "09:00",
        "2 eggs on toast at 8am 5.6 before 7.1 after",
        "breakfast 08:00: egg 100, toast 60~ | 5.60 08:00 | 7.10 09:00~",
    ),
    ("10:00", "porridge at 8. 1h: 8.0 2h: 6.1", "breakfast 08:00: porridge 250~ | 8.00 09:00 | 6.10 10:00"),
    ("08:00", "woke up at 6 lol went to bed at 11", "sleep 01.23:00 to 06:00"),
    ("08:00", "bed at 11 rose at 6:30", "sleep 01.23:00 to 06:30"),
    ("08:00", "woke at 6 😴 bed at 11", "sleep 01.23:00 to 06:00"),
    ("12:00", "4.1 feeling shaky", "4.10 12:00~ | feeling shaky 12:00"),
    ("12:00", "pre 5.2 post 7.9", "5.20 12:00~ | 7.90 12:00~"),
    ("20:00", "soup (13:00) apple (16:00)", "lunch 13:00: soup 300~ | snack 16:00: apple 180~"),
    ("20:00", "tired so had a banana at 3", "feeling tired 20:00 | snack 15:00: banana 120"),
    ("20:00", "the meeting ran over", "nothing “the meeting ran over” | ? HOW TO SAY IT"),
]


@pytest.mark.parametrize(("now", "text", "expected"), NOTES)
def test_note_is_understood(table, now, text, expected):
    assert read(text, context_at(now, table)) == expected
