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
        ("half a litre of wine for the table I had 2 glasses", "drink 19:30~: wine 300"),
        ("a large pizza, i had 3 slices", "dinner 19:30~: pizza 300"),
        ("12 dumplings i ate 5", "dinner 19:30~: dumpling 110"),
        ("the soup I had at 3 was nice", "snack 15:00: soup 300~"),
        ("no breakfast just a coffee at 10", "drink 10:00: coffee 240~"),
        (
            "my sister called over and had two slices of tart but I only had tea",
            "drink 19:30~: tea 250~ | left “sister called” | left “had two slices” | left “tart”",
        ),
        ("friends came over and had pizza", "dinner 19:30~: pizza 250~ | left “friends came over”"),
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
        ("room is spinning", "dizzy"),
        ("i just want to cry", "low"),
        ("heart going like mad", "palpitations"),
        ("my boss shouted at me", "stressed"),
        ("i am not feel good", "ill"),
        ("my knees are killing me from the stairs", "pain"),
        ("still full from breakfast", "full"),
        ("cant stop thinking about work", "stressed"),
        ("feel like ive been hit by a bus", "ill"),
        ("pain in my left shoulder", "pain"),
        ("legs sore from yesterday", "achy"),
    ],
)
def test_how_people_say_they_feel(real_table, text, felt):
    assert read(text, context_at("08:00", real_table)) == f"feeling {felt} 08:00"


@pytest.mark.parametrize(
    "text", ["high energy bar 40 g", "hot cross bun", "full english with beans", "cold soup"]
)
def test_words_of_feelings_in_names_of_food_are_no_feelings(real_table, text):
    assert "feeling" not in read(text, context_at("08:00", real_table))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("conked out 7 til just now", "sleep 19:00 to 19:30"),
        ("zonked on the sofa 2 to 3.30", "sleep 14:00 to 15:30"),
        ("bed 1030 last night, up 6", "sleep 01.22:30 to 06:00"),
        ("in bed by 10, nodded off around 11.30, alarm 6", "sleep 01.23:30 to 06:00"),
        ("got to bed at 1 up again at 5.30", "sleep 01:00 to 05:30"),
        ("hit the pillow 22:30 alarm went 5:45", "sleep 01.22:30 to 05:45"),
        ("out like a light at 11 and the little one had me up at half five", "sleep 01.23:00 to 05:30"),
        ("slept badly, 11 to 6", "feeling bad night 19:30 | sleep 01.23:00 to 06:00"),
        ("gonna hit the sack now", "sleep 19:30 to -"),
        ("calling it a night", "sleep 19:30 to -"),
        ("put the kids to bed fell asleep myself 7 to half 7", "sleep 19:00 to 19:30"),
        ("ok im up", "sleep - to 19:30"),
        ("fell asleep on the bus for like 20 mins", "sleep 19:10 to 19:30"),
        ("alarm 6, snoozed till 6.30", "sleep - to 06:30"),
        ("up till 2 then slept to 9", "sleep 02:00 to 09:00"),
        ("slept on the train 6 to 7.30", "sleep 18:00 to 19:30"),
        ("slept only 2 hours, 7 to 9", "sleep 07:00 to 09:00"),
        ("took me ages to fall asleep", "feeling bad night 19:30"),
    ],
)
def test_how_people_tell_of_a_night(real_table, text, expected):
    assert read(text, context_at("19:30", real_table)) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("framing all day 7 to 3:30", "moderate physical work 510 min 07:00"),
        ("waitressed 11-4", "light standing work 300 min 11:00"),
        ("laid 600 bricks. started 6 knocked off at 2.30", "moderate physical work 510 min 06:00"),
        ("on the building site from 7 to 4", "moderate physical work 540 min 07:00"),
        ("carried the shopping up four flights", "moderate physical work 19:30~"),
        ("chased the kids round the park 20 min", "light active play 20 min 19:10~"),
        ("kicked a ball about with my son for 20", "light active play 20 min 19:10~"),
        ("rode my horse for an hour", "moderate horse riding 60 min 18:30~"),
        ("paddled the kayak two hours", "moderate kayaking 120 min 17:30~"),
        ("went by foot to the market", "light walk 19:30~"),
        ("cycled to town and back, 20 each way", "moderate cycle 40 min 18:50~"),
        ("danced till 6, maybe two hours of it", "moderate dance 120 min 16:00"),
        ("climbed the tower, 300 steps", "moderate climb 19:30~"),
        ("gym: chest and arms, 50 min", "moderate workout 50 min 18:40~"),
        ("walked over to mums", "light walk 19:30~"),
        ("12 min round the square", "light walk 12 min 19:18~"),
        ("played goalie 50 min", "moderate football 50 min 18:40~"),
        ("dog walk got cut short 10 min", "light walk 10 min 19:20~"),
        ("had a go on the kids trampoline, ten minutes", "moderate trampolining 10 min 19:20~"),
        ("squash club 40 min hard", "hard squash 40 min 18:50~"),
        ("walk with stroller 50 minute", "light walk 50 min 18:40~"),
        ("played in the snow with the nephews, an hour", "light active play 60 min 18:30~ | left “nephews”"),
        ("commuted by bike both ways, 35 each", "moderate cycle 70 min 18:20~ | left “commuted”"),
        ("walked to the shop, ten mins there ten back", "light walk 20 min 19:10~"),
        ("3k steps only today lazy", "light walk 19:30~"),
        ("1h stairmaster", "moderate stairs 60 min 18:30~"),
        ("yoga with my class 10 to 10.45", "light yoga 45 min 10:00"),
        (
            "dancing 4 til half 5 knackered but happy",
            "moderate dance 90 min 16:00 | feeling tired 19:30 | feeling happy 19:30",
        ),
    ],
)
def test_how_people_tell_of_movement(real_table, text, expected):
    assert read(text, context_at("19:30", real_table)) == expected


@pytest.mark.parametrize(
    "text",
    [
        "meant to go for a run",
        "was going to run but it rained",
        "planned a swim",
        "two picks of the strawberries",
    ],
)
def test_what_was_only_meant_is_no_movement(real_table, text):
    assert "moderate" not in read(text, context_at("19:30", real_table))


@pytest.mark.parametrize(
    "text",
    [
        "bought bananas and milk",
        "picked up some bananas on the way home",
        "stocked up on pasta and tinned tomatoes",
        "need to buy oats",
        "we are out of bread",
        "im craving chocolate so bad",
        "i love mangoes",
        "could murder a curry",
        "smells of bacon here",
        "batch cooked lentil soup for the freezer",
        "cooked pasta for the kids",
        "soup is on the stove",
        "pizza on its way",
        "turned down a biscuit",
        "passed on dessert",
        "baked banana bread, not tried it yet",
        "colleague brought doughnuts, didn't have any",
        "they had cake, i had none",
        "nothing since the apple at 4",
        "about to eat a bowl of rice",
        "ran out of rice",
        "read an article about oats",
        "dreamt about cake",
        "curled up with a hot water bottle",
        "the new apprentice brought in croissants, managed to say no",
        "got a parcel of cookies, not opening it",
        "allotment, picked beans and courgettes",
        "porridge is too boring, going back to toast",
    ],
)
def test_food_that_was_not_eaten_is_not_noted(real_table, text):
    assert read(text, context_at("19:30", real_table)).startswith("nothing")


@pytest.mark.parametrize(
    ("text", "eaten"),
    [
        ("bought a sausage roll and ate it in the car", "sausage roll"),
        ("picked up a coffee and a muffin", "muffin"),
        ("bought 2 samosas from the stall", "samosa"),
        ("bought doughnuts and ate two", "donut 120"),
        ("they offered crackers and i took three", "cracker"),
        ("my daughter left half her pizza and i finished it", "pizza"),
        ("craving won, had a slice of cake", "cake"),
        ("love a good curry so had one", "curry"),
        ("cooked pasta for me and the kids", "pasta"),
        ("bars were sold out so just an orange", "orange"),
        ("passed on dessert, had an espresso", "espresso"),
        ("made the kids pancakes and had two", "pancake"),
        ("dropped my sandwich, bought a muffin instead", "muffin"),
        ("asked for the fish, ate the pie", "pie"),
        ("milk was off so had bread", "bread"),
        ("kebab shop, lamb doner", "lamb doner"),
        ("the kids begged for nuggets i had the salad", "salad"),
    ],
)
def test_what_was_eaten_after_all_is_noted(real_table, text, eaten):
    assert eaten in read(text, context_at("19:30", real_table)).split(" | ")[0]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("boiled egg. Diner, 6 am", "breakfast 06:00: boiled egg 50~"),
        ("diner at 7 steak", "dinner 19:00: steak 180~"),
        ("boiled egg, canteen, 7 am", "breakfast 07:00: boiled egg 50~"),
        ("a ham roll at the desk 530", "breakfast 05:30: ham roll 150"),
        ("lunch was like two ish, boiled egg", "lunch 14:00: boiled egg 50~"),
        ("on a train no signal had a flapjack", "snack 19:30~: flapjack 60 | left “train”"),
        ("3rd coffee", "drink 19:30~: coffee 240~"),
        ("2 coffees already", "drink 19:30~: coffee 480"),
        ("hi it's maria again, a flapjack", "snack 19:30~: flapjack 60"),
        ("before toast 5.0 after toast 7.9", "5.00 19:30~ | 7.90 19:30~ | left “toast” | left “toast”"),
        ("sugar dropped to 3.9", "3.90 19:30~"),
        ("after the curry at 6 it was 7.7 at 7", "7.70 19:00"),
        ("3 sets of 15 press ups", "moderate exercises 19:30~"),
        ("football on telly", "nothing “football on telly” | ? HOW TO SAY IT"),
        ("my son ran a marathon yesterday", "nothing “my son ran a marathon yesterday” | ? HOW TO SAY IT"),
        ("lights out", "sleep 19:30 to -"),
        ("6.4??", "6.40 19:30~"),
        ("finger prick before tea five point four forgot to do one after", "5.40 19:30~"),
        ("coffee number 2", "drink 19:30~: coffee 240~"),
        ("tea break: flapjack", "snack 19:30~: flapjack 60~"),
        ("a run is planned for 8", "nothing “a run is planned for 8” | ? HOW TO SAY IT"),
        ("sensor on for 3 days now", "nothing “sensor on for 3 days now” | ? HOW TO SAY IT"),
        ("5k pb", "moderate run 19:30~"),
        ("was 9.2 at two o clock now its 6.4", "9.20 14:00 | 6.40 19:30"),
        ("6.20 glucose 5.0", "5.00 06:20"),
        ("scanned at 8, 5.5", "sync 08:00 | 5.50 08:00~slot"),
        ("yesterday a ham roll at 22:30, bed 00:30", "dinner 01.22:30: ham roll 150 | sleep 00:30 to -"),
        ("walked an hour and half", "light walk 90 min 18:00~"),
        ("the sensor gave an error", "nothing “the sensor gave an error” | ? HOW TO SAY IT"),
    ],
)
def test_times_values_and_places_said_in_passing(real_table, text, expected):
    assert read(text, context_at("19:30", real_table)) == expected
