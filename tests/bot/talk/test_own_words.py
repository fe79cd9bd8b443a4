"""Own words, usual portions, earlier meals and questions with buttons, through the whole bot."""

from collections.abc import Iterator

import pytest

from bot.model.entries import Meal
from tests.talk import Talk, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        yield one


def last_meal(talk: Talk) -> Meal:
    meal = max(talk.meals(), key=lambda logged: logged.id).entry
    assert isinstance(meal, Meal)
    return meal


def plate(talk: Talk) -> list[tuple[str, float]]:
    return [(item.name, round(item.grams)) for item in last_meal(talk).items]


def labels(talk: Talk) -> list[str]:
    return [button.label for button in talk.heard[-1].buttons]


def test_a_meal_is_named_used_and_forgotten(talk: Talk) -> None:
    talk.at("04:30", days=1).say("60 g oats, 200 ml milk and a pear at 4:20")
    said = talk.say("call this my early-shift breakfast")
    assert "“early-shift breakfast” is oats 60 g, milk 206 g, pear 178 g" in said
    first = plate(talk)
    talk.at("04:30", days=2).say("early-shift breakfast and an espresso")
    assert plate(talk)[:3] == first
    assert last_meal(talk).slot == "breakfast"
    assert "early-shift breakfast" in talk.say("/words")
    assert "Forgotten" in talk.say("forget my early-shift breakfast")
    assert "You have taught me no words yet" in talk.say("what are my words?")
    assert "is none of your words" in talk.say("forget my early-shift breakfast")
    assert len(talk.meals()) == 2


def test_the_meal_answered_to_gets_the_name(talk: Talk) -> None:
    talk.say("100 g white bread")
    ours = talk.heard[-1].id
    talk.say("150 g cooked rice")
    assert "white bread 100 g" in talk.say("call this my depot bread", reply_to=f"bot-{ours}")


def test_a_name_needs_a_meal(talk: Talk) -> None:
    assert "no meal noted yet to give a name" in talk.say("call this my depot bread")
    talk.say("walked 10 min")
    assert "no meal was noted" in talk.say("call this my depot bread")
    assert "Say it like “call this my early-shift breakfast”" in talk.say("call this")


def test_a_meal_can_be_noted_with_its_name(talk: Talk) -> None:
    said = talk.say("call this my tram lunch: 2 slices rye bread and 40 g cheese")
    assert "Noted lunch" in said
    assert "From now on “tram lunch” is" in said
    talk.at("12:30").say("tram lunch")
    assert [name for name, _ in plate(talk)] == ["rye bread", "cheese"]


def test_an_unknown_food_is_taught_and_the_meal_has_it(talk: Talk) -> None:
    said = talk.say("a flurgle bar and 200 ml milk")
    assert "Teach me like “my flurgle bar: 60 g" in said
    before = last_meal(talk).nutrients.carbs_g
    said = talk.say("my flurgle bar: 60 g, 21 g carbs, 15 g protein, 9 g fat per bar")
    assert "60 g with 21 g carbohydrate, 15 g protein, 9 g fat, 225 kcal" in said
    assert "kcal worked out" in said
    assert "Your breakfast has it too" in said or "Your snack has it too" in said
    assert before is not None
    assert last_meal(talk).nutrients.carbs_g == pytest.approx(before + 21)
    talk.at("10:00").say("2 flurgle bars")
    assert last_meal(talk).nutrients.carbs_g == pytest.approx(42)


def test_own_words_win_over_general_ones_and_are_taught_anew(talk: Talk) -> None:
    talk.say("my toast: 40 g, 10 g carbs")
    talk.say("2 toasts with 10 g butter")
    assert plate(talk) == [("toast", 80), ("butter", 10)]
    assert last_meal(talk).nutrients.carbs_g == pytest.approx(20, abs=0.1)
    talk.say("my toasts: 50 g, 12 g carbs")
    talk.say("toast")
    assert plate(talk) == [("toasts", 50)]
    assert talk.say("/words").count("•") == 1


def test_words_are_a_persons_own(talk: Talk) -> None:
    talk.say("my toast: 40 g, 10 g carbs")
    other = Talk(talk.app, talk.clock, person="other")
    other._count = 100
    other.say("toast")
    assert plate(other) != [("toast", 40)]
    assert "no words yet" in other.say("/words")


def test_earlier_meals_are_recalled(talk: Talk) -> None:
    talk.at("07:10").say("60 g oats and 200 ml milk")
    talk.at("12:30").say("200 g cooked rice and 100 g chicken breast")
    talk.at("19:00").say("dinner: 300 g lentil soup")
    assert "Noted breakfast" in talk.at("07:10", days=1).say("same as yesterday's breakfast")
    assert plate(talk) == [("oats", 60), ("milk", 206)]
    talk.at("12:30", days=1).say("half of yesterday's lunch and the rest of last night's dinner")
    assert [grams for _, grams in plate(talk)] == [100, 50, 300]
    assert "as much as was noted then" in talk.heard[-2].text + talk.heard[-1].text
    talk.at("07:10", days=2).say("the usual")
    assert plate(talk) == [("oats", 60), ("milk", 206)]
    assert "I have no lunch noted for Wednesday" in talk.say("same as Wednesday's lunch")
    assert "usual dinner" in talk.say("the usual for dinner")


def test_a_meal_taken_back_is_not_recalled(talk: Talk) -> None:
    talk.at("07:10").say("60 g oats and 200 ml milk")
    talk.say("undo")
    assert "I have no breakfast noted" in talk.at("07:10", days=1).say("same as yesterday's breakfast")


def test_an_amount_said_twice_becomes_the_usual_one(talk: Talk) -> None:
    talk.at("12:30").say("150 g cooked rice and 100 g chicken breast")
    assert "Roughly how much rice?" in talk.at("12:30", days=1).say("rice and 100 g chicken breast")
    talk.at("12:30", days=2).say("150 g cooked rice")
    said = talk.at("12:30", days=3).say("rice and 100 g chicken breast")
    assert "your usual 150 g" in said
    assert "How much" not in said


def test_an_amount_that_was_corrected_counts_as_corrected(talk: Talk) -> None:
    for day in (0, 1):
        talk.at("12:30", days=day).say("350 g cooked rice")
        talk.say("no, 250 g rice")
    assert "your usual 250 g" in talk.at("12:30", days=2).say("cooked rice")


def test_a_question_is_asked_once_and_its_button_is_the_answer_from_then_on(talk: Talk) -> None:
    said = talk.at("12:30").say("rice and 100 g chicken breast")
    assert said.endswith("Roughly how much rice?")
    assert labels(talk) == ["100 g", "180 g", "300 g"]
    assert plate(talk)[0] == ("rice", 180)
    said = talk.press("300 g")
    assert "rice 300 g instead of 180 g" in said
    assert talk.heard[-1].replaces == f"bot-{talk.heard[-2].id}"
    assert plate(talk)[0] == ("rice", 300)
    said = talk.at("12:30", days=1).say("rice and 100 g chicken breast")
    assert "your usual 300 g" in said
    assert "How much" not in said


def test_an_ignored_question_is_not_repeated(talk: Talk) -> None:
    assert "Roughly how much rice" in talk.at("12:30").say("rice and 100 g chicken breast")
    assert "How much" not in talk.at("12:30", days=1).say("rice and 100 g chicken breast")


def test_at_most_one_question_a_message_and_none_beside_another(talk: Talk) -> None:
    assert talk.at("12:30").say("rice, pasta and pizza").count("Roughly how much") == 1
    assert "Roughly how much" not in talk.at("13:00").say("at 25:00 noodles and couscous")


def test_the_answer_may_be_typed(talk: Talk) -> None:
    talk.at("12:30").say("rice and 100 g chicken breast")
    assert "rice 220 g instead of 180 g" in talk.say("220 g")
    assert "your usual 220 g" in talk.at("12:30", days=1).say("rice")
    talk.at("12:30", days=2).say("lentil soup")
    assert "Noted: 5.4" in talk.say("5.4")


def test_keeping_the_guess_is_an_answer_too(talk: Talk) -> None:
    talk.at("12:30").say("rice and 100 g chicken breast")
    assert talk.press("180 g").startswith("Good, it stays as noted.")
    assert "your usual 180 g" in talk.at("12:30", days=1).say("rice")


def test_a_dry_weight_is_asked_about_once(talk: Talk) -> None:
    assert "cooked or dry" in talk.at("12:30").say("100 g rice and 100 g chicken breast")
    assert "dry rice 100 g instead of rice 100 g" in talk.press("Dry")
    said = talk.at("12:30", days=1).say("80 g rice")
    assert "dry rice 80 g" in said
    assert "cooked or dry" not in said


def test_a_time_that_may_be_another_is_settled_by_a_button(talk: Talk) -> None:
    assert "Was that 20:00 or 08:00?" in talk.at("23:00").say("100 g white bread at 8")
    assert talk.press("08:00") == "Dinner 20:00 is now breakfast 08:00."
    meal = last_meal(talk)
    assert meal.slot == "breakfast"


def test_old_and_strange_answers_are_turned_away(talk: Talk) -> None:
    talk.at("12:30").say("rice and 100 g chicken breast")
    question = talk.heard[-1]
    talk.press("Undo")
    assert "taken back before" in talk.send(press=question.buttons[0].data, message_id="b")
    for data in (
        "answer:1,9",
        "answer:99,0",
        "answer:x",
        "answer:" + "9" * 40 + ",1",
    ):
        assert "not here any more" in talk.send(press=data, message_id="b")
    other = Talk(talk.app, talk.clock, person="other")
    other._count = 100
    assert "not here any more" in other.send(press=question.buttons[0].data, message_id="b")


def test_fix_amounts_offers_half_double_and_usual(talk: Talk) -> None:
    for day in (0, 1):
        talk.at("12:30", days=day).say("200 g cooked rice")
    talk.at("12:30", days=2).say("150 g cooked rice and 80 g peas")
    talk.press("Fix amounts")
    assert labels(talk)[:3] == ["½ cooked rice", "2× cooked rice", "200 g cooked rice"]
    assert "75 g instead of 150 g" in talk.press("½ cooked rice")
    assert "changes nothing" in talk.press("½ cooked rice")  # pressed twice it is still half
    assert "200 g instead of 75 g" in talk.press("200 g cooked rice")
    talk.say("remove the rice")
    assert "no cooked rice in that note any more" in talk.press("½ cooked rice")


@pytest.mark.parametrize(
    "data", ["grams:", "grams:1", "grams:1,5.0,", "grams:9999,5.0,rice", "grams:1,x,rice"]
)
def test_strange_amount_buttons_are_turned_away(talk: Talk, data: str) -> None:
    assert "not here any more" in talk.send(press=data, message_id="b")


def test_button_data_is_short_whatever_the_food_is_called(talk: Talk) -> None:
    name = "crème brûlée façon dépôt central"
    talk.say(f"my {name}: 150 g, 30 g carbs")
    talk.say(name)
    talk.press("Fix amounts")
    assert all(len(b.data.encode()) <= 64 for m in talk.heard for b in m.buttons)
    assert "75 g instead of 150 g" in talk.send(press=talk.heard[-1].buttons[0].data, message_id="b")


def test_words_and_answers_go_with_the_person(talk: Talk) -> None:
    talk.say("my toast: 40 g, 10 g carbs")
    talk.at("12:30").say("rice")
    with talk.app.store.read() as tx:
        assert tx.asked.get(1) is not None
    with talk.app.store.begin() as tx:
        tx.people.erase("local")
    with talk.app.store.read() as tx:
        assert tx.words.all("local") == []
        assert tx.asked.get(1) is None


def test_only_so_many_words_are_kept(talk: Talk) -> None:
    from bot.talk.own_words import MOST_WORDS

    names = [f"bar {a}{b}" for a in "abcdefghijk" for b in "mnopqrstuv"]
    for name in names[:MOST_WORDS]:
        talk.say(f"my {name}: 60 g, 21 g carbs")
    assert "which is all I keep" in talk.say("my depot bar: 60 g, 21 g carbs")
    assert "From now on" in talk.say(f"my {names[0]}: 50 g, 20 g carbs")
