"""One food of several noted ones: eaten apart, another of its sort, put back, less of it; the same again."""

from collections.abc import Iterator
from datetime import timedelta

import pytest

from bot.model.entries import Meal, Reading, Sleep
from tests.talk import MORNING, Talk, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        yield one


def _meals(talk: Talk) -> list[Meal]:
    return [logged.entry for logged in talk.meals() if isinstance(logged.entry, Meal)]


@pytest.mark.parametrize(
    "said",
    [
        "the ice cream was later, at 3, on its own",
        "the ice cream wasn't with lunch, it was at 3",
        "ice cream was at 15:00",
    ],
)
def test_a_food_eaten_apart_leaves_its_plate(talk: Talk, said: str) -> None:
    talk.at("17:00").note("lunch at 13:00: rice with chicken and an ice cream")
    talk.say(said)
    meals = {f"{m.at - MORNING}": [i.name for i in m.items] for m in _meals(talk) if m.at is not None}
    assert meals == {"6:00:00": ["rice", "chicken"], "8:00:00": ["ice cream"]}


@pytest.mark.parametrize(
    "said", ["the rice was at 15:00", "the ice cream was at 13:20", "the rice and chicken were at 15:00"]
)
def test_what_a_plate_is_called_by_and_a_time_near_by_are_of_all_of_it(talk: Talk, said: str) -> None:
    talk.at("17:00").note("lunch at 13:00: rice with chicken and an ice cream")
    talk.say(said)
    assert [len(m.items) for m in _meals(talk)] == [3]


def test_another_food_of_the_sort_takes_nothing_out(talk: Talk) -> None:
    talk.at("8:00").note("toast and orange juice")
    talk.say("no apple juice today")
    assert [i.name for i in _meals(talk)[0].items] == ["toast", "orange juice"]
    talk.say("wait, no, apple juice")
    assert [i.name for i in _meals(talk)[0].items] == ["toast", "apple juice"]


@pytest.mark.parametrize("said", ["please bring the pasta back", "put the pasta back", "add the pasta back"])
def test_what_was_taken_out_is_put_back(talk: Talk, said: str) -> None:
    talk.at("12:30").note("pasta and ham")
    talk.say("delete the pasta")
    talk.say(said)
    (meal,) = _meals(talk)
    assert {i.name for i in meal.items} == {"pasta", "ham"}


@pytest.mark.parametrize(
    "said",
    ["delete that, never ate any", "didn't have any of it", "scratch that, i put them back, never ate any"],
)
def test_none_of_it_is_no_part_of_it(talk: Talk, said: str) -> None:
    talk.at("16:00").note("handful of mixed nuts")
    talk.say(said)
    assert not _meals(talk)


def test_less_of_it_is_a_small_one(talk: Talk) -> None:
    talk.at("12:30").note("chicken rice, less rice, less sugar")
    (meal,) = _meals(talk)
    (item,) = meal.items
    assert item.name == "chicken rice"
    talk.at("19:00").note("curry and 200 g rice")
    talk.say("less rice, about 120")
    assert [i.grams for i in _meals(talk)[-1].items if i.name == "rice"] == [120]


@pytest.mark.parametrize(
    ("said", "foods"),
    [
        ("Same again, but with honey this time", ["porridge", "milk", "honey"]),
        ("the same and a coffee", ["porridge", "milk", "coffee"]),
        ("same thing but without the milk", ["porridge"]),
        ("same again plus a banana", ["porridge", "milk", "banana"]),
    ],
)
def test_the_same_again_and_more(talk: Talk, said: str, foods: list[str]) -> None:
    talk.at("7:40").note("bowl of porridge with 200 ml milk")
    talk.at("7:45", days=1).note(said)
    assert [i.name for i in _meals(talk)[-1].items] == foods


def test_a_value_is_found_by_its_hour_in_words(talk: Talk) -> None:
    talk.at("9:00").note("6.1")
    talk.at("11:00").note("7.2")
    talk.say("the nine o'clock one was 5.1, typo")
    readings = [one.entry for one in talk.logged("reading")]
    assert [r.mmol for r in readings if isinstance(r, Reading)] == [5.1, 7.2]


def test_when_a_night_ended_said_first(talk: Talk) -> None:
    talk.at("8:20").note("slept 11 to 7")
    talk.say("half 7 when i woke actually")
    (night,) = (one.entry for one in talk.logged("sleep"))
    assert isinstance(night, Sleep)
    assert night.to_at is not None
    assert night.to_at - MORNING == timedelta(minutes=30)


@pytest.mark.parametrize(
    ("said", "foods"),
    [
        ("fruit (papaya)", ["papaya"]),
        ("vegetables (broccoli, carrots)", ["broccoli", "carrot"]),
    ],
)
def test_parentheses_say_what_of_a_sort_it_was(talk: Talk, said: str, foods: list[str]) -> None:
    talk.at("12:30").note(said)
    assert [i.name for i in _meals(talk)[0].items] == foods


def test_flakes_on_a_spoon_are_no_bowl_of_them(talk: Talk) -> None:
    talk.at("8:00").note("3 spoons of bran flakes")
    assert _meals(talk)[0].items[0].grams < 15


@pytest.mark.parametrize(
    ("noted", "said"),
    [
        ("coffee and cake", "with milk"),
        ("a coffee and a biscuit", "the coffee had milk"),
        ("coffee, toast and eggs", "add milk to the coffee"),
    ],
)
def test_milk_in_the_coffee_is_no_glass_of_it(talk: Talk, noted: str, said: str) -> None:
    talk.at("15:00").note(noted)
    talk.say(said)
    (meal,) = _meals(talk)
    assert "coffee with milk" in [i.name for i in meal.items]
    assert "milk" not in [i.name for i in meal.items]


def test_milk_that_may_be_of_two_foods_changes_neither(talk: Talk) -> None:
    talk.at("8:00").note("cereal and a coffee")
    talk.say("with milk")
    assert [i.name for i in _meals(talk)[0].items] == ["cereal", "coffee", "milk"]


@pytest.mark.parametrize("said", ["don't remind me after lunch", "no reminders after meals please"])
def test_no_reminders_after_meals_leaves_those_of_the_sensor(talk: Talk, said: str) -> None:
    assert "before readings are lost" in talk.say(said)


@pytest.mark.parametrize(
    "said", ["walked twice, 7 and 8:30", "taught 2 yoga classes, an hour each, 9 and 10:30"]
)
def test_hours_listed_behind_a_comma_are_no_value(talk: Talk, said: str) -> None:
    talk.at("12:00").note(said)
    assert not talk.logged("reading")
    assert len(talk.logged("activity")) == 2


@pytest.mark.parametrize(
    "said",
    [
        "the same with my husband",
        "the same with my sleep, bad again",
        "same thing again with the sensor, it fell off",
    ],
)
def test_the_same_of_something_else_is_no_meal(talk: Talk, said: str) -> None:
    talk.at("8:00").note("porridge with milk")
    talk.at("13:00").say(said)
    assert len(_meals(talk)) == 1


@pytest.mark.parametrize("said", ["no, remind me after lunch", "no, please remind me after meals"])
def test_a_wish_for_reminders_ends_none(talk: Talk, said: str) -> None:
    talk.say("2 eggs")
    talk.say(said)
    with talk.app.store.read() as tx:
        person = tx.people.get("local")
    assert person is not None
    assert person.remind == "all"
