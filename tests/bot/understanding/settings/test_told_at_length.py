"""What is told of oneself in the middle of a long account of a day is kept, and the food around it too."""

import pytest

from bot.understanding import understand
from tests.bot.understanding.compact import context_at

DAY = (
    "At 7:15 I had two slices of rye toast with butter and a boiled egg. At 10:30 a banana and a flat white. "
    "Lunch at 12:40 was lentil soup, a roll and an apple. At 15:00 a small yogurt with 20 g muesli. "
    "Dinner at 18:45 was 150 g salmon, 200 g potatoes and broccoli. "
)


@pytest.mark.parametrize("days_before", [3, 5])  # behind 600 characters, and in a message of twice as many
@pytest.mark.parametrize(
    ("said", "what", "value"),
    [
        ("Please use mg/dL from now on. ", "unit", "mg/dL"),
        ("I take metformin twice a day. ", "medicine", "metformin"),
        ("Quiet from 22:00 and 7:00, please. ", "quiet", "22:00-07:00"),
    ],
)
def test_a_setting_in_a_long_message_is_kept(real_table, days_before, said, what, value):
    context = context_at("20:00", real_table)
    plain = understand(DAY * (days_before + 1), context)
    understood = understand(DAY * days_before + said + DAY, context)
    assert plain.told == ()
    assert [(told.what, told.value) for told in understood.told] == [(what, value)]
    assert len(understood.entries) == len(plain.entries)
