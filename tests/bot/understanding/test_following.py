"""Clauses that complete what was said before them; the expected lines were read through by eye."""

import pytest

from tests.bot.understanding.compact import context_at, read

NOTES = [
    ("20:00", "spinning, 45 min, ended at 7", "moderate spinning 45 min 18:15"),
    ("18:00", "cycled home, 35 minutes, arrived 17:40", "moderate cycle 35 min 17:05"),
    ("20:00", "run 40 min, hard, finished 20 min ago", "hard run 40 min 19:00"),
    ("20:00", "walk 12 min there and 12 back, left at 8:35", "light walk 24 min 08:35"),
    (
        "20:00",
        "gym: 20 min treadmill + 30 min weights, got there at 5:15",
        "moderate treadmill 20 min 17:15 | moderate weights 30 min 17:35",
    ),
    ("20:00", "5k run, 27:30", "moderate run 27 min 19:33~"),
    ("20:00", "checked at 2, it was 7.1", "7.10 14:00"),
    ("20:00", "5.4, checked with the meter at 6:50", "5.40 06:50"),
    ("08:00", "5.2 when I woke at 6", "5.20 06:00"),
    ("20:00", "apple when I got in at 6", "snack 18:00: apple 180~"),
    ("20:00", "soup at 6, no wait, 7", "dinner 19:00: soup 300~"),
    ("20:00", "rice, no, pasta", "dinner 20:00~: pasta 200~"),
    ("20:00", "5.4, no sorry 5.6", "5.60 20:00~"),
    ("20:00", "came home at 12:30 and swam for 20 minutes", "moderate swim 20 min 12:30"),
    ("20:00", "couldn't sync at noon, worked now", "sync 20:00 | left “couldn't sync at noon”"),
    ("20:00", "sync failed", "nothing “sync failed” | ? HOW TO SAY IT"),
    ("20:00", "synced at 8, 12 and 3", "sync 08:00 | sync 12:00 | sync 15:00"),
    (
        "20:00",
        "woke at 6, 5.2, porridge at 7, run at 8 for 30 min, 6.6 at 9",
        "sleep - to 06:00 | 5.20 06:00~slot | breakfast 07:00: porridge 250~ | moderate run 30 min 08:00 "
        "| 6.60 09:00",
    ),
    (
        "21:30",
        "porridge at 7, coffee 10, soup at 1, apple 4pm, pasta 7.30",
        "breakfast 07:00: porridge 250~ | drink 10:00: coffee 200~ | lunch 13:00: soup 300~ | snack "
        "16:00: apple 180~ | dinner 19:30: pasta 200~",
    ),
    (
        "20:00",
        "ran 30 min at 1, 5.5 before, 4.9 after",
        "moderate run 30 min 13:00 | 5.50 13:00~slot | 4.90 13:30~slot",
    ),
    (
        "20:00",
        "walk 20 min before lunch, lunch was soup at 1",
        "light walk 20 min 12:40~slot | lunch 13:00: soup 300~",
    ),
    ("20:00", "walk 40 min before lunch, we ate at noon", "light walk 40 min 11:20"),
    ("20:00", "kids' swimming lesson at 4", "nothing “kids' swimming lesson at 4” | ? HOW TO SAY IT"),
    ("20:00", "football practice for my son", "nothing “football practice for my son” | ? HOW TO SAY IT"),
    ("20:00", "going for a run later", "nothing “going for a run later” | ? HOW TO SAY IT"),
    ("20:00", "nervous about the exam tomorrow", "feeling anxious 20:00"),
    ("20:00", "fever, 38.5", "feeling fever 20:00 | left “38.5”"),
    ("20:00", "temperature 38.2", "nothing “temperature 38.2” | ? HOW TO SAY IT"),
    ("20:00", "5,4 zorblax", "5.40 20:00~ | left “zorblax”"),
    (
        "20:00",
        "zorblax: swim 06.00 50min, run 17.00 1h05",
        "moderate swim 50 min 06:00 | moderate run 65 min 17:00 | left “zorblax”",
    ),
    ("08:00", "23:50-06:40", "sleep 01.23:50 to 06:40"),
]


@pytest.mark.parametrize(("now", "text", "expected"), NOTES)
def test_note_is_understood(table, now, text, expected):
    assert read(text, context_at(now, table)) == expected
