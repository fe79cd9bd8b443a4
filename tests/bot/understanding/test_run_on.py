"""Notes typed or spoken in one go, without commas: each thing said begins where its own words begin."""

import pytest

from tests.bot.understanding.compact import context_at, read


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            "the kids had nuggets I didnt eat theirs I had a jacket potato",
            "dinner 19:30~: jacket potato 173 | left “kids had nuggets”",
        ),
        (
            "my brother ate the pizza I had the salad",
            "dinner 19:30~: salad 80~ | left “brother ate the pizza”",
        ),
        (
            "steak and potatoes felt heavy after",
            "dinner 19:30~: steak 180~, potato 180~ | feeling heavy 19:30",
        ),
        ("two boiled eggs im properly knackered", "dinner 19:30~: boiled egg 100 | feeling tired 19:30"),
        (
            "dinner at 6 fish and chips walked home 20 min",
            "dinner 18:00: fish and chips 420~ | light walk 20 min 18:15~slot",
        ),
        ("mum made stew I had 2 bowls", "dinner 19:30~: stew 600"),
        ("the soup I had at 3 was nice", "snack 15:00: soup 300~"),
    ],
)
def test_what_the_person_did_begins_a_clause_of_its_own(real_table, text, expected):
    assert read(text, context_at("19:30", real_table)) == expected


@pytest.mark.parametrize(
    ("text", "felt"),
    [
        ("baby was up four times", "bad night"),
        ("kids kept us up all night", "bad night"),
        ("hardly any sleep", "bad night"),
        ("mood rubbish today", "low"),
        ("head's splitting", "headache"),
        ("brain fog until eleven", "foggy"),
        ("in a foul mood", "grumpy"),
        ("got the sweats", "sweaty"),
        ("bloaty and gassy", "bloated"),
        ("really beat", "tired"),
        ("battery empty", "tired"),
        ("room is spinning", "dizzy"),
    ],
)
def test_how_people_say_they_feel(real_table, text, felt):
    assert read(text, context_at("08:00", real_table)) == f"feeling {felt} 08:00"


@pytest.mark.parametrize(
    "text", ["high energy bar 40 g", "hot cross bun", "full english with beans", "cold soup"]
)
def test_words_of_feelings_in_names_of_food_are_no_feelings(real_table, text):
    assert "feeling" not in read(text, context_at("08:00", real_table))
