"""What a clause is taken for where several readings are possible, and what is never eaten."""

import pytest

from bot.understanding import understand
from tests.bot.understanding.compact import context_at, read


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("walked 10 min at 8 and 15 at 12", "light walk 10 min 08:00 | light walk 15 min 12:00"),
        ("walked 15 min at 8:00, another 20 at 13:00", "light walk 15 min 08:00 | light walk 20 min 13:00"),
        ("walked 10 min at 8:00, 6.1 at 9:00", "light walk 10 min 08:00 | 6.10 09:00"),
        (
            "tired, then HI at 9:10",
            "feeling tired 21:30 | ? HI or LO is no number: say the number your meter "
            "ends at instead, like “2.2 at 9:10”.",
        ),
        ("toast at 24:00", "snack 00:00: toast 60~"),
        ("slept 6:00 to 6:00", "? From when to when did you sleep? Say it like “slept 23:00 to 6:30”."),
        ("took 5 units", "told medicine insulin"),
        ("the neighbours brought soup", "nothing “the neighbours brought soup” | ? HOW TO SAY IT"),
        ("my mate ate salad", "nothing “my mate ate salad” | ? HOW TO SAY IT"),
        ("spinach tastes of soap to me", "told avoids spinach"),
        ("I never eat bread", "told avoids bread"),
        ("my mum made soup at 12:30", "lunch 12:30: soup 300~"),
        (
            "toast egg coffee orange juice",
            "dinner 21:30~: toast 60~, egg 50~, coffee 200~, orange juice 200~",
        ),
        ("soup from yesterday, a slice of bread", "dinner 21:30~: soup 300~, bread 35"),
        ("feeling giddy since ten minutes", "feeling dizzy 21:20"),
        ("walked 15 min earlier at 7", "light walk 15 min 19:00"),
    ],
)
def test_a_clause_is_weighed(table, text, expected):
    assert read(text, context_at("21:30", table)) == expected


@pytest.mark.parametrize(
    "text",
    ["bed -23:00", "bed -5", "24:00", "25:61 soup", "toast, 5.4 after -50 h", "slept -1 to -2", "LO at 8"],
)
def test_odd_times_do_not_raise(table, text):
    understand(text, context_at("21:30", table))


@pytest.mark.parametrize(
    ("text", "of_blood"),
    [
        ("fingertip 5.7", True),
        ("glucometer says 5.9 at 9:00", True),
        ("pricked my finger, 5.8", True),
        ("fingerpricks: 5.4 at 8, 6.1 at 10", True),
        ("blood sugar 5.6 at 9:00", False),
        ("sensor 6.0 at 10", False),
    ],
)
def test_a_reading_knows_whether_it_is_of_blood(table, text, of_blood):
    readings = understand(text, context_at("21:30", table)).entries
    assert [reading.of_blood for reading in readings] == [of_blood] * len(readings)
    assert readings
