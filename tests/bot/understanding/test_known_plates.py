"""What is said of plates that are noted: after them, with them, never noted, not as noted."""

from collections.abc import Iterator

import pytest

from tests.talk import Talk, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        yield one


def plates(talk: Talk) -> list[list[str]]:
    return [[item.name for item in logged.entry.items] for logged in talk.meals()]  # type: ignore[union-attr]


@pytest.mark.parametrize("said", ["coffee after the pasta", "coffee with the pasta", "coffee before pasta"])
def test_a_plate_that_is_noted_is_no_second_serving(talk: Talk, said: str) -> None:
    talk.at("19:00").note("180 g pasta with 80 g tomato sauce")
    talk.at("19:40").note(said)
    assert [name for plate in plates(talk) for name in plate].count("pasta") == 1
    assert ["coffee"] in plates(talk)


def test_what_was_not_noted_is_one(talk: Talk) -> None:
    talk.at("12:00").note("180 g rice")
    talk.at("19:40").note("coffee after the pasta")
    assert plates(talk) == [["rice"], ["coffee", "pasta"]]
    talk.at("21:00", days=1).note("80 g pasta, then tea after the pasta salad")
    assert "pasta salad" in [name for plate in plates(talk) for name in plate]


@pytest.mark.parametrize(
    "said",
    [
        "last night's soup never got noted: leek soup, two rolls",
        "last night's dinner is missing: leek soup, 2 rolls",
    ],
)
def test_a_meal_that_was_never_noted(talk: Talk, said: str) -> None:
    talk.at("7:30", days=1).note("60 g porridge oats")
    talk.at("9:00", days=1).say(said)
    first, second = talk.meals()
    assert (first.at.day, second.at.day) == (2, 3)
    assert plates(talk) == [["leek soup", "roll"], ["porridge oats"]]


@pytest.mark.parametrize(
    "said", ["take the rice off yesterday's lunch", "leave the rice out of yesterday's lunch"]
)
def test_a_verb_parted_by_its_food(talk: Talk, said: str) -> None:
    talk.at("12:30").note("200 g rice, 120 g chicken for lunch")
    assert "rice removed" in talk.at("9:00", days=1).say(said)
    assert plates(talk) == [["chicken"]]


def test_a_food_that_was_another(talk: Talk) -> None:
    talk.at("18:30").note("200 g potatoes and 150 g cod")
    talk.at("9:00", days=1).say("those potatoes were chips really")
    assert plates(talk) == [["chips", "cod"]]


def test_butter_on_the_second_one_is_as_much_again(talk: Talk) -> None:
    talk.at("8:00").note("2 crumpets, 10 g butter on one")
    assert "butter 20 g instead of 10 g" in talk.at("8:20").say("butter went on the second crumpet too")


def test_a_weight_behind_about_is_no_hour(talk: Talk) -> None:
    talk.at("19:00").note("200 g couscous with 100 g chickpeas")
    assert "couscous 120 g instead of 200 g" in talk.at("19:20").say("less couscous, about 120")
    talk.at("20:30").note("walked around 730, 20 min")
    assert [logged.at.minute for logged in talk.logged("activity")] == [30]


def test_a_food_by_itself_with_the_question_behind_it(talk: Talk) -> None:
    talk.at("12:30").note("150 g rice and 100 g chicken for lunch")
    for said in ("chicken. verdict?", "all my rice servings", "show all my"):
        talk.at("13:00").say(said)
        assert plates(talk) == [["rice", "chicken"]]
    assert "I can't answer that yet" in talk.heard[-1].text


def test_no_night_is_lost_before_a_sensor_is_on(talk: Talk) -> None:
    talk.at("8:00").note("60 g oats")
    answer = talk.at("9:00").say("how complete is my record?")
    assert "no reading yet" in answer
    assert "lost" not in answer
