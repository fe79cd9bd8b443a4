"""Whose amount it is, what only heads a list, what is said beside food: causes found in use.

The expected lines were read through by eye: they are what the words mean, no outside source exists for them.
"""

import pytest

from tests.bot.understanding.compact import context_at, read

SAID = [
    ("18:40", "idli 3 sambar chutney", "dinner 18:40~: idli 120, sambar 200~, chutney 22~"),
    ("18:40", "roti 2 dal", "dinner 18:40~: roti 84, dal 220~"),
    ("18:40", "pizza 4 slices thin crust", "dinner 18:40~: thin crust pizza 400"),
    ("18:40", "toast 2 slices butter", "dinner 18:40~: toast 60, butter 10~"),
    ("18:40", "porridge 40g oats 300ml milk tsp honey", "dinner 18:40~: oats 40, milk 309, honey 7"),
    ("18:40", "noodles 1 nest dry", "dinner 18:40~: dry noodles 60"),
    ("18:40", "broccoli 90", "dinner 18:40~: broccoli 90"),
    ("18:40", "20 grapes", "snack 18:40~: grape 98"),
    ("18:40", "3 of 8 slices of pizza, 700g the lot", "dinner 18:40~: pizza 262.5 | left “lot”"),
    ("18:40", "new potatoes, 6 small ones", "dinner 18:40~: new potato 180"),
    ("18:40", "150ish g rice", "dinner 18:40~: rice 150"),
    ("18:40", "a side of green beans", "dinner 18:40~: green beans 90~"),
    ("18:40", "cooked a big pot of soup, had 2 bowls", "dinner 18:40~: soup 600 | left “cooked”"),
    (
        "18:40",
        "takeaway curry tonight, chicken tikka masala, half a naan",
        "dinner 18:40~: chicken tikka masala 280~, naan 55",
    ),
    (
        "18:40",
        "bread with cheese and cucumber, 3 slices",
        "dinner 18:40~: bread 84, cheese 30~, cucumber 36~",
    ),
    ("18:40", "half the curry and the rest of the rice", "dinner 18:40~: curry 140, rest rice 180~"),
    ("18:40", "soup, lentil soup", "dinner 18:40~: lentil soup 300~"),
    ("18:40", "bought a sandwich from the shop, egg and cress", "dinner 18:40~: egg and cress 150~"),
    (
        "18:40",
        "cheese toastie, tomato soup for dipping",
        "dinner 18:40~: cheese toastie 130~, tomato soup dipping 300~",
    ),
    ("18:40", "shakshuka 2 eggs", "dinner 18:40~: shakshuka 181.8"),
    ("18:40", "chips shared with dave", "dinner 18:40~: chips 70"),
    ("18:40", "chilli with rice, smaller portion than last night", "dinner 18:40~: chili 196~, rice 180~"),
    ("18:40", "toast and jam before going to the gym", "dinner 18:40~: toast 60~, jam 20~"),
    (
        "18:40",
        "rice and chicken after training",
        "dinner 18:40~: rice 180~, chicken 110~ | moderate workout 18:40~slot",
    ),
    ("18:40", "not hungry so just toast", "dinner 18:40~: toast 60~"),
    ("18:40", "first proper meal of the day: fry up", "dinner 18:40~: fry up 480~ | left “proper”"),
    ("18:40", "walk to the shops, 15 min each way", "light walk 30 min 18:10~"),
    ("18:40", "cycled to work, 15 min each way", "moderate cycle 15 min 18:25~"),
    ("18:40", "stroll after dinner, 20ish min", "light walk 20 min 18:20~"),
    ("18:40", "spin class 45", "moderate spinning 45 min 17:55~"),
    ("18:40", "took dog round the block twice", "light walk 18:40~"),
    ("18:40", "garden 2hrs this arvo", "light gardening 120 min 15:00~slot"),
    ("22:45", "off to bed", "sleep 22:45 to -"),
    ("07:20", "woke at 3 couldn't get back to sleep till 5", "feeling bad night 03:00"),
    ("15:10", "just got up", "sleep - to 15:10"),
    ("10:15", "starving already and its only 10", "feeling hungry 10:15 | left “10”"),
    ("10:15", "stressy morning at work", "feeling stressed 10:15"),
    ("08:15", "meter says 5.4 sensor says 6.0", "5.40 08:15~ | 6.00 08:15~"),
    ("08:15", "low alarm at 3am 3.6", "3.60 03:00"),
    ("08:15", "sensor on since yesterday 9pm", "sensor started 01.21:00"),
]


@pytest.mark.parametrize(("now", "text", "expected"), SAID)
def test_note_is_understood(real_table, now, text, expected):
    assert read(text, context_at(now, real_table)) == expected
