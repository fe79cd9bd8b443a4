"""Plain words that are no food, sorts of a count, what was weighed dry, spoken hours: causes found in use.

The expected lines were read through by eye: they are what the words mean, no outside source exists for them.
"""

import pytest

from tests.bot.understanding.compact import context_at, read

SAID = [
    (
        "18:20",
        "big presentation today, super stressed since morning",
        "feeling stressed 18:20 | left “big presentation”",
    ),
    ("18:20", "samosa on the way from the office", "dinner 18:20~: samosa 100~"),
    ("18:20", "quarter bunny, mutton, hectic", "dinner 18:20~: bunny 400 | left “hectic”"),
    ("18:20", "lunch: grumblefish", "lunch 12:30~slot: grumblefish 0~!"),
    ("18:20", "kolo handful", "dinner 18:20~: kolo 35"),
    (
        "18:20",
        "3 tacos al pastor and a horchata, sooo good",
        "dinner 18:20~: taco al pastor 300, horchata 300~ | left “good”",
    ),
    ("18:20", "2 eggs, no, 3", "dinner 18:20~: egg 150"),
    ("18:20", "two eggs no three", "dinner 18:20~: egg 150"),
    ("18:20", "3 rotis, sorry 2, and dal", "dinner 18:20~: roti 84, dal 220~"),
    ("18:20", "200 g rice, no wait 250", "dinner 18:20~: rice 250"),
    ("18:20", "2 slices of two day old bread", "dinner 18:20~: bread 56"),
    ("18:20", "coffee no 2", "drink 18:20~: coffee 240~"),
    ("18:20", "Evening! had toast", "dinner 18:20~: toast 60~"),
    ("18:20", "mince with a few peas", "dinner 18:20~: mince 110~, peas 32"),
    ("18:20", "oats with a few raisins", "dinner 18:20~: oats 50~, raisins 12"),
    ("18:20", "boil egg and fry fish", "dinner 18:20~: boiled egg 50~, fried fish 170~"),
    ("18:20", "protein shake with milk 300ml", "dinner 18:20~: protein powder 30~, milk 309"),
    (
        "18:20",
        "a double cheeseburger small fries and a chocolate shake",
        "dinner 18:20~: double cheeseburger 190, fries 80, chocolate shake 300~",
    ),
    ("18:20", "3 sandwiches, 2 ham 1 cheese", "dinner 18:20~: sandwich 450"),
    ("18:20", "two muffins, one blueberry one chocolate", "dinner 18:20~: muffin 226"),
    ("18:20", "2 eggs, 1 toast and 1 apple", "dinner 18:20~: egg 100, toast 30, apple 182"),
    ("18:20", "pesto pasta 100g dry weight", "dinner 18:20~: pesto pasta 330"),
    ("18:20", "lentils 50 g dry weight", "dinner 18:20~: dry lentils 50"),
    ("18:20", "risotto, 75 g dry rice", "dinner 18:20~: risotto 247.5"),
    ("18:20", "tagliatelle with ragu, 80 g of pasta dry", "dinner 18:20~: dry pasta 80, ragu 150~"),
    ("18:20", "couscous with 7 vegetables", "dinner 18:20~: couscous 180~, vegetables 120"),
    ("18:20", "biryani rice", "dinner 18:20~: biryani rice 320~"),
    ("18:20", "juice orange 200 ml", "drink 18:20~: orange juice 210"),
    ("18:20", "soup miso", "dinner 18:20~: miso soup 220~"),
    ("18:20", "iced tea no sugar", "drink 18:20~: unsweetened iced tea 330~"),
    ("18:20", "bakso, didnt drink all soup", "dinner 18:20~: bakso 450~"),
    ("18:20", "2 min noodles one packet", "dinner 18:20~: instant noodles 400"),
    ("18:20", "salsa class, 45 min", "moderate dance 45 min 17:35~"),
    ("18:20", "swimming for the last hour and a half", "moderate swim 90 min 16:50~"),
    ("18:20", "run 5k now finished, 32 minutes", "moderate run 32 min 17:48~"),
    ("18:20", "walk took an hour, got in at 5", "light walk 60 min 16:00"),
    ("18:20", "gym like four thirty did about an hour and fifteen", "moderate workout 75 min 16:30"),
    ("18:20", "gardening since 3", "light gardening 200 min 15:00"),
    (
        "18:50",
        "bike 62 km, 16:30 to 18:50, two gels and 1 bottle cola during the ride",
        "moderate cycle 140 min 16:30 | drink 17:40~slot: gel 70, cola 515",
    ),
    (
        "18:20",
        "ran 20 min then 20 min on the bike",
        "moderate run 20 min 18:00~ | moderate cycle 20 min 18:00~",
    ),
    ("06:20", "slept in the cab ten to five", "sleep 01.22:00 to 05:00"),
    ("06:20", "slept until ten to five", "sleep - to 04:50"),
    (
        "06:20",
        "awake from 3 till 5, then not slept anymore",
        "feeling bad night 03:00 | left “not slept anymore”",
    ),
    (
        "09:05",
        "I slept bad last night kept waking up finally got up at six",
        "feeling bad night 09:05 | sleep - to 06:00",
    ),
    (
        "18:20",
        "126 on the finger stick at 3:30pm",
        "? Did you mean 126 mg/dL at 3:30pm? Then say “126 mg/dL at 3:30pm”.",
    ),
    ("18:20", "sugar at one thirty was 6.4", "6.40 13:30"),
    (
        "18:30",
        "oatmeal 50g with milk 200ml and half banana",
        "dinner 18:30~: dry oats 50, milk 206, banana 59",
    ),
    ("18:30", "rice 200 g and half avocado", "dinner 18:30~: rice 200, avocado 75"),
    ("18:30", "steak, 2 schooners", "dinner 18:30~: steak 180~, beer 852"),
    ("18:30", "got home ate a slice of meatloaf", "dinner 18:30~: meatloaf 90 | left “home”"),
    (
        "18:30",
        "a chicken biscuit and a large sweet tea um about half of the tea",
        "dinner 18:30~: chicken biscuit 155, sweet tea 300",
    ),
    ("18:30", "chapati 2 na beans", "dinner 18:30~: chapati 84, beans 120~"),
    ("18:30", "been haulin logs since 5 am", "moderate physical work 810 min 05:00"),
    ("18:30", "stress level 9/10", "feeling stressed 18:30"),
    ("09:30", "badminton with colleagues 7 to 8.30 this morning", "moderate badminton 90 min 07:00"),
    ("13:20", "soup and bread, meeting at 3", "lunch 13:20~: soup 300~, bread 60~ | left “meeting at 3”"),
    ("13:20", "shift starts at 5, ate pasta", "lunch 13:20~: pasta 180~ | left “starts at 5”"),
    ("21:00", "birthday do at 7, pizza and cake", "dinner 19:00: pizza 250~, cake 120~ | left “birthday”"),
    ("09:40", "Bacon roll when I got to work at 5.30", "breakfast 05:30: bacon roll 130~"),
    (
        "22:40",
        "two pints of stout, book club ran on",
        "drink 22:40~: stout 1136 | left “book club” | left “ran”",
    ),
    ("16:35", "fencing 3 hrs this afternoon", "moderate fencing 180 min 13:35~"),
    ("09:15", "walked the school run there and back twenty minutes each way", "light walk 40 min 08:35~"),
    ("13:50", "beef stew. Too sweet!", "lunch 13:50~: beef stew 300~"),
    ("12:10", "Checked my sugar at the pharmacy by 11am, 5.4", "5.40 11:00"),
    ("15:30", "slept 830a-3p pretty good", "sleep 08:30 to 15:00"),
    ("19:10", "Sold all the tomatoes today", "nothing “Sold all the tomatoes today” | ? HOW TO SAY IT"),
    ("18:20", "banku and okro stew. 2 balls banku", "dinner 18:20~: banku 500, okro stew 300~"),
    ("18:20", "samosa 3 pcs w/ ladies in office", "dinner 18:20~: samosa 210"),
    ("06:20", "slept ten to five not great", "sleep 01.22:00 to 05:00"),
    ("18:20", "a gel", "dinner 18:20~: gel 35"),
]


@pytest.mark.parametrize(("now", "text", "expected"), SAID)
def test_note_is_understood(real_table, now, text, expected):
    assert read(text, context_at(now, real_table)) == expected
