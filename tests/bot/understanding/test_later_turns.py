"""What a second message makes of the diary: whole plates as they stand afterwards."""

from dataclasses import replace

import pytest

from bot.model.entries import Correction, Meal, Stored
from bot.understanding import understand
from bot.understanding.context import Context, Noted
from bot.understanding.corrections.edits import apply
from tests.bot.understanding.compact import context_at


def talk(table, *turns: str) -> tuple[Context, bool]:
    """Return the diary after some messages, "13:05 no, 2", and whether the last one was asked about."""
    context, asked = context_at("00:01", table), False
    for turn in turns:
        at, _, said = turn.partition(" ")
        context = replace(context, now=context_at(at, table).now)
        understood = understand(said, context)
        asked = understood.choice is not None
        for entry in understood.entries:
            if isinstance(entry, Correction):
                context = apply(entry, context)
            elif isinstance(entry, Stored):
                noted = Noted(len(context.log) + 1, entry, context.now)
                context = context.with_log((*context.log, noted))
    return context, asked


def line(context: Context) -> str:
    """Put the diary in short: meals with their foods in whole grams, the rest by kind, time and length."""
    return "; ".join(_line(noted.entry, context) for noted in sorted(context.noted, key=lambda n: n.id))


def _line(entry: Stored, context: Context) -> str:
    if isinstance(entry, Meal):
        return ", ".join(f"{item.name} {item.grams or 0:.0f}" for item in entry.items)
    at = getattr(entry, "at", None) or getattr(entry, "from_at", None)
    minutes = getattr(entry, "minutes", None)
    value = getattr(entry, "mmol", None)
    parts = [type(entry).__name__.lower(), f"{at.astimezone(context.zone):%H:%M}" if at else ""]
    return " ".join(parts + [f"{n:g}" for n in (minutes, value) if n is not None])


TALKS = [
    (
        ["12:00 chicken wrap and orange juice", "12:05 the juice was apple juice"],
        "chicken wrap 220, apple juice 200",
    ),
    (
        ["12:00 salmon and peas", "12:05 Oh, and a glass of white wine, I nearly forgot"],
        "salmon 130, peas 80, white wine 150",
    ),
    (["12:00 latte and croissant", "12:05 delete the croissant, gave it to a coworker"], "latte 300"),
    (["12:00 400 g pizza", "12:05 shared that with a friend, half each"], "pizza 200"),
    (["08:00 a coffee and one muffin", "09:30 another coffee"], "coffee 240, muffin 113; coffee 240"),
    (
        ["07:00 coffee", "12:00 burrito", "12:05 would you please change the coffee to a latte?"],
        "latte 240; burrito 280",
    ),
    (["08:00 yogurt", "08:10 replace with kefir"], "kefir 220"),
    (["08:00 2 eggs and toast", "12:40 eggs were 3 this morning"], "egg 150, toast 60"),
    (["12:00 rice and beans", "12:10 not beans, chicken"], "rice 180, chicken 110"),
    (["12:00 fish and chips", "12:10 the chips were salad"], "fish 120, salad 80"),
    (["19:00 burger and fries", "19:30 shared the fries with my wife"], "burger 180, fries 70"),
    (["19:00 burger and fries", "19:30 left most of the fries"], "burger 180, fries 35"),
    (["19:00 burger and fries", "19:30 left some fries"], "burger 180, fries 112"),
    (["10:00 a banana", "10:05 my sister ate it"], ""),
    (
        ["08:00 toast with jam", "13:00 soup", "16:10 it was honey on the toast not jam"],
        "toast 60, honey 20; soup 300",
    ),
    (["08:00 roll with cheese", "08:10 was with ham, no cheese"], "roll 50, ham 45"),
    (
        ["12:00 rice, chicken and salad", "13:00 there was no rice, it was chicken and salad"],
        "chicken 110, salad 80",
    ),
    (["13:40 crackers with carrots", "13:45 no carrots, and I had it at half twelve"], "cracker 20"),
    (["08:30 toast", "08:35 plus a glass of tea with one sugar"], "toast 60, tea 200, sugar 4"),
    (["07:00 bread", "12:00 soup", "12:20 in the morning also tea"], "bread 60, tea 250; soup 300"),
    (
        ["09:00 banana", "15:00 banana", "15:40 the banana was 150 g. I mean the one at nine"],
        "banana 150; banana 118",
    ),
    (["19:00 burger", "19:30 ketchup too"], "burger 180, ketchup 15"),
    (
        ["08:30 pancakes 3 and maple syrup", "08:50 oops meant waffles"],
        "waffle 225, maple syrup 20",
    ),
    (
        ["12:30 chicken soup", "12:33 and bread 1 slice, butter"],
        "chicken soup 300, bread 28, butter 10",
    ),
    (["15:00 banana", "15:10 gave it to my son actually"], ""),
    (["15:00 cookie", "15:10 didnt like it, threw half away"], "cookie 20"),
    (["19:00 rice and stew", "19:05 1 cup rice 2 ladles stew"], "rice 158, stew 240"),
    (["19:00 rice and stew", "19:05 basmati"], "basmati rice 180, stew 300"),
    (
        ["14:00 soup and 3 tortillas", "14:10 tortillas were small corn ones"],
        "soup 300, corn tortilla 54",
    ),
    (["09:00 cycled to work 20 min", "09:10 no bike today, I took the tram"], ""),
    (["13:00 sandwich and juice", "13:01 juice after, sandwich first"], "sandwich 150, juice 200"),
    (["08:05 kasha", "09:30 correct breakfast time to 7:30"], "kasha 168"),
    (["17:30 protein shake", "17:35 no shake today"], ""),
    (["17:30 protein shake", "17:35 shake 300 ml and a banana"], "protein shake 306, banana 118"),
    (["12:00 2 samosa", "12:05 1 samosa, 1 pakora"], "samosa 70, pakora 25"),
    (["08:10 toast and eggs", "08:12 toast was for the baby"], "egg 100"),
    # what is named beside a change is what is changed
    (
        ["12:05 reading 5.9", "12:30 walked 20 min", "12:40 the reading was 6.9"],
        "reading 12:05 6.9; activity 12:10 20",
    ),
    (
        ["13:00 dal", "20:30 rice", "20:35 at lunch there was also a bowl of yoghurt"],
        "dal 220, yogurt 200; rice 180",
    ),
    (["08:30 roll", "12:30 at half past eight there was a boiled egg as well"], "roll 50, boiled egg 50"),
    (["10:00 sausage sandwich", "16:00 that sausage sandwich was a bacon one"], "bacon sarnie 140"),
    (
        ["10:00 croissant", "13:00 croissant", "13:10 delete the first croissant, that was yesterday's"],
        "croissant 57",
    ),
    # some of a food goes
    (["09:00 2 eggs and toast", "09:10 remove 1 egg"], "egg 50, toast 60"),
    (["09:00 4 samosas and chutney", "09:10 2 samosas were for my sister"], "samosa 140, chutney 22"),
    (["09:00 4 samosas and chutney", "09:10 i gave 2 to my sister"], "samosa 140, chutney 22"),
    (["14:00 empanadas 3", "14:15 one of them was given to my son"], "empanada 220"),
    (["09:00 rice 300 g and curry", "09:10 take off 50 g of rice"], "rice 250, curry 280"),
    (["18:30 large pizza, 8 slices", "18:45 two slices were for the kids"], "pizza 412"),
    (["12:00 ham sandwich and crisps", "12:30 crisps were not mine, put them off"], "ham sandwich 150"),
    # what it was weighed in
    (["13:30 rice and beans 400 g", "13:45 weighed with the plate, the plate is 150"], "rice and beans 250"),
    # a part of a dish
    (["18:30 fish and chips", "18:45 the chips were 100g"], "fish 194, chips 100"),
    (["12:00 chicken and rice", "12:20 rice was too dry so I left it"], "chicken 110"),
    # whose amount: by its unit, by its count
    (["19:00 spaghetti bolognese, glass of red", "19:20 make that two glasses"],
     "spaghetti bolognese 380, red wine 300"),
    (["20:00 dumplings 12", "20:30 dumplings were 15"], "dumpling 330"),
    # of which kind
    (["21:00 glass of wine", "21:05 white"], "white wine 150"),
    (["21:00 beer", "21:20 alcohol free one"], "alcohol free beer 400"),
    (["19:00 soup", "19:05 tomato soup"], "tomato soup 300"),
    (["15:00 apple", "15:02 pear*"], "pear 182"),
    (["14:00 empanadas 3", "14:15 they were chicken ones"], "chicken empanada 330"),
    (["12:30 lentil soup and bread", "12:31 the bread was 2 slices, rye"], "lentil soup 300, rye bread 56"),
    (["10:00 latte", "10:30 it was with oat milk"], "oat milk latte 280"),
    (["10:00 latte large", "10:30 medium"], "latte 350"),
    # something else in place of all, one more
    (["11:00 orange juice", "11:04 scratch that, I had apple juice"], "apple juice 200"),
    (["21:00 glass of wine", "21:30 plus another", "22:15 and a third one"], "wine 450"),
    (["13:00 250 g sadza and beef stew", "13:10 beef replaced with chicken"], "sadza 250, chicken stew 300"),
    # which entry: by its meal, its order, its food
    (["13:00 chicken salad", "19:00 curry with rice", "19:15 the lunch one had feta as well"],
     "chicken salad 230, feta 40; curry 280, rice 180"),
    (["07:45 arepa", "12:00 tomato soup", "12:10 the arepa had also butter, like 10 g"],
     "arepa 120, butter 10; tomato soup 300"),
    (["08:00 walked 20 min", "13:00 walked 30 min", "13:10 delete the first walk"], "activity 12:30 30"),
    (["08:00 walked 20 min", "13:00 walked 30 min", "13:10 second walk was 35"],
     "activity 07:40 20; activity 12:30 35"),
    (["07:00 5.2", "09:00 6.8", "11:00 5.9", "11:05 first reading was 4.9"],
     "reading 07:00 4.9; reading 09:00 6.8; reading 11:00 5.9"),
    (["22:00 going to bed", "22:40 now really going to bed"], "sleep 22:40"),
    (["08:00 muesli 50g", "13:00 soup", "13:10 muesli was 70g with milk"], "muesli 70, milk 154; soup 300"),
]  # fmt: skip


@pytest.mark.parametrize(("turns", "diary"), TALKS, ids=lambda value: str(value)[-60:])
def test_the_diary_after_a_later_turn(real_table, turns, diary) -> None:
    context, _ = talk(real_table, *turns)
    assert line(context) == diary


LEFT_ALONE = [
    ["12:00 bibimbap", "12:05 no egg in mine"],
    ["09:00 shakshuka with 2 eggs", "09:10 remove 1 egg"],
    ["13:00 hainanese chicken rice", "13:10 brown rice actually"],
    ["18:30 cheese and tomato sandwich", "18:45 cheese was about 40g"],
    ["18:00 gym 1 hour", "18:30 half of that was stretching tbh"],
    ["13:00 chicken burrito", "13:05 bowl, not burrito"],
    ["13:00 quiche", "13:05 tasty!"],
    ["13:05 laksa", "13:07 no tofu puffs"],
    ["13:30 thali", "13:35 2 roti rice dal sabzi curd"],
    ["12:00 sandwich", "12:01 turkey and swiss on rye"],
    ["09:00 bowl of fruit", "09:05 papaya and melon"],
    ["14:00 3 tacos", "14:10 2 fish 1 shrimp"],
    ["08:00 uttapam", "12:30 dal and rice", "20:05 breakfast was idli"],
    ["12:00 6.4", "12:01 after a walk"],
    ["19:15 moussaka and greek salad", "19:20 salad without feta"],
    ["07:45 crumpets 2 with butter", "08:30 ate the second one cold, so both"],
    ["12:30 poke bowl salmon", "12:33 rice in it was 150"],
    ["12:30 poke bowl salmon", "12:33 made it at home: 150 rice, 100 salmon, half avocado"],
    ["18:00 two hot dogs", "18:10 buns were wholewheat"],
    ["14:00 soup and 3 tortillas", "14:10 5"],
    ["18:30 rice and tofu", "18:45 he had the same but with double rice"],
    ["17:30 lasagne and salad", "17:50 my wife only had the salad"],
    ["12:00 cheese sandwich", "12:10 the boys had fish fingers and chips"],
]


@pytest.mark.parametrize("turns", LEFT_ALONE, ids=lambda turns: turns[-1])
def test_what_is_not_sure_changes_nothing_in_silence(real_table, turns) -> None:
    before, _ = talk(real_table, *turns[:-1])
    after, _ = talk(real_table, *turns)
    assert line(after) == line(before)


@pytest.mark.parametrize("said", ["sorry 11.45 and add an egg", "sorry, 11:45 and add an egg"])
def test_a_time_behind_an_opening_moves_the_meal_that_gets_more(real_table, said) -> None:
    context, _ = talk(real_table, "12:00 soup and toast", f"12:05 {said}")
    assert line(context) == "soup 300, toast 60, egg 50"
    meal = context.noted[0].entry
    assert isinstance(meal, Meal)
    assert meal.at is not None
    assert f"{meal.at.astimezone(context.zone):%H:%M}" == "11:45"


def test_so_many_minutes_of_the_same_hours_later_are_new(real_table) -> None:
    context, asked = talk(real_table, "08:00 walked 20 min", "13:00 walked 30 min")
    assert (line(context), asked) == ("activity 07:40 20; activity 12:30 30", False)
