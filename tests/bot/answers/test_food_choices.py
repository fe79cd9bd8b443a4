"""What to make of foods, asked in the chat of a simulated person whose truth is known.

The person is of tests/simulated/logged.py: white rice does 2.6 mmol/L·min for a gram of carbohydrate,
lentils 1.0, all else 1.6; oats and banana, and rye bread and butter, were never eaten apart. The questions
are those of the issue, each in several wordings.
"""

import re
from collections.abc import Iterator

import pytest

from bot.model.messages import PictureSpec
from tests.simulated.logged import talk_after_weeks
from tests.talk import MORNING, Talk, readings_csv, talking

UP = [5.0] * 6 + [5.4, 6.2, 7.1, 7.9, 8.2, 8.0, 7.6, 7.1, 6.7, 6.3, 6.0, 5.8, 5.6, 5.4, 5.3] + [5.2] * 19


@pytest.fixture(scope="module")
def talk() -> Iterator[Talk]:
    with talk_after_weeks() as one:
        yield one


def picture_of(talk: Talk) -> PictureSpec:
    spec = talk.heard[-1].picture
    assert spec is not None, talk.heard[-1].text
    return spec


@pytest.mark.parametrize(
    "asked", ["tell me about lentils", "lentils: any verdict?", "what do lentils do to me?"]
)
def test_a_food_with_its_portions(talk: Talk, asked: str) -> None:
    said = talk.say(asked)
    found = re.match(
        r"Your usual \d+ g of lentils adds about (\d\.\d) mmol/L .*\(likely (\S+) to (\S+)\)", said
    )
    assert found is not None, said
    low, high = float(found[2]), float(found[3])
    assert low <= 166 * 0.13 * 1.0 * 0.9 / 120 <= high  # mean rise of the true area, walks counted in
    assert picture_of(talk).kind == "portion"
    assert "lentils adds about" in talk.app.draw(picture_of(talk), talk.person).alt


@pytest.mark.parametrize(
    "asked",
    ["should the rice go?", "is it time to say goodbye to white rice?", "had I better drop the rice?"],
)
def test_what_surely_adds_much_is_for_the_person_to_weigh(talk: Talk, asked: str) -> None:
    said = talk.say(asked)
    assert said.startswith("That is yours to weigh: your usual")
    assert "A smaller portion is the milder step: half of it adds about 0." in said
    assert not re.search(r"\byes\b|should go|must", said.lower())


@pytest.mark.parametrize(
    "asked", ["should the lentils go?", "do I have to drop lentils?", "keep the lentils or not?"]
)
def test_what_may_be_little_is_no_ground_and_gives_something_besides(talk: Talk, asked: str) -> None:
    said = talk.say(asked)
    assert said.startswith(("Nothing here speaks against it", "I wouldn't drop it on what I know"))
    assert re.search(r"also gives you 1\d g of fibre: a flat line is not the only aim\.$", said), said


def test_of_what_was_never_alone_nothing_is_said_alone(talk: Talk) -> None:
    said = talk.say("should the oats go?")
    assert said.startswith("I can't say of oats alone: you only had oats and banana together")
    assert "would part them" in said
    assert "oats" in talk.app.draw(picture_of(talk), talk.person).alt.lower()


@pytest.mark.parametrize(
    "asked", ["what had I better leave out?", "what should I cut out?", "anything I should stop eating?"]
)
def test_nothing_has_to_go(talk: Talk, asked: str) -> None:
    said = talk.say(asked)
    assert said.startswith("Nothing has to go. What very likely adds much")
    assert said.index("white rice") < said.index("rye bread")
    assert "Half a portion is the milder step" in said
    alt = talk.app.draw(picture_of(talk), talk.person).alt
    assert "Rye bread + butter (only together, 17 meals)" in alt


@pytest.mark.parametrize(
    "asked", ["which foods are kind to me?", "what foods suit me best?", "what are my safest foods?"]
)
def test_which_are_kind(talk: Talk, asked: str) -> None:
    said = talk.say(asked)
    assert said.startswith("Kind to you for what they hold")
    assert "lentils (2" in said
    assert "white rice" not in said
    assert "that alone makes no food better" in said


@pytest.mark.parametrize(
    "asked", ["what are my worst foods?", "my three worst foods please", "which foods hit me hardest?"]
)
def test_the_worst_are_what_adds_most(talk: Talk, asked: str) -> None:
    said = talk.say(asked)
    assert said.startswith("Your usual portions that add most to the two hours after a meal")
    assert "worst" not in said
    assert picture_of(talk).kind == "foods"


@pytest.mark.parametrize(
    "asked",
    ["is rice worse than bread for me?", "rice or rye bread, which is kinder to me?", "rice vs rye bread"],
)
def test_two_foods_side_by_side(talk: Talk, asked: str) -> None:
    said = talk.say(asked)
    found = re.match(
        r"On like plates your usual rice adds (\S+) mmol/L more .* \(likely (\S+) to (\S+)\)", said
    )
    assert found is not None, said
    true = (174 * 0.28 * 2.6 - 78 * 0.43 * 1.6) * 0.9 / 120
    assert float(found[2]) <= true <= float(found[3])
    assert "beyond chance" in said
    assert re.search(r"You only had (rye )?bread with butter", said)
    alt = talk.app.draw(picture_of(talk), talk.person).alt
    assert alt.startswith("Your usual rice adds about")


def test_what_is_not_told_apart_is_not(talk: Talk) -> None:
    said = talk.say("is pear worse than lentils for me?")
    assert said.startswith(
        "I can't tell them apart yet: on like plates your usual pear may add anything from"
    )
    assert re.search(r"I'd put at [5-9]\d in 100\.", said)
    assert "not told apart yet" in talk.app.draw(picture_of(talk), talk.person).alt


@pytest.mark.parametrize(
    "asked",
    [
        "tell me about my usual breakfast",
        "what does my usual breakfast do to me?",
        "is my usual breakfast any good?",
    ],
)
def test_the_usual_meal_as_its_parts(talk: Talk, asked: str) -> None:
    said = talk.say(asked)
    assert re.match(r"Your usual breakfast \(banana \d+ g and oats \d+ g\) adds about 0\.\d mmol/L", said), (
        said
    )
    assert "its parts judged together" in said
    alt = talk.app.draw(picture_of(talk), talk.person).alt
    assert alt.startswith("Your usual breakfast adds about")


def test_two_foods_named_as_one_plate(talk: Talk) -> None:
    said = talk.say("what does rice and lentils do to me?")
    found = re.search(r"adds about (\S+) mmol/L .*\(likely (\S+) to (\S+)\)", said)
    assert found is not None, said
    true = (179 * 0.28 * 2.6 + 166 * 0.13) * 0.9 / 120
    assert float(found[2]) <= true <= float(found[3])
    assert "The part that counts most is the white rice" in said


def test_it_is_the_meal_noted_last(talk: Talk) -> None:
    said = talk.say("what does it do to me?")
    assert re.match(r"Your white rice and lentils \(", said), said


def test_tonight_is_no_span_to_judge_foods_by(talk: Talk) -> None:
    said = talk.say("rice or lentils tonight, which does less")
    assert said.startswith("On like plates your usual rice adds")


@pytest.mark.parametrize("asked", ["anything i should be skipping", "which one would you cut if you were me"])
def test_words_that_are_no_food_name_none(talk: Talk, asked: str) -> None:
    assert talk.say(asked).startswith("Nothing has to go.")


@pytest.mark.parametrize("asked", ["tell me about bulgur", "bulgur: any verdict?", "should the muesli go?"])
def test_what_was_never_eaten(talk: Talk, asked: str) -> None:
    food = "muesli" if "muesli" in asked else "bulgur"
    assert talk.say(asked).startswith(f"I have no {food} noted yet")


def eat(talk: Talk, days: range) -> None:
    for day in days:
        plate = "porridge with 60 g oats and 200 ml milk" if day % 2 else "80 g white toast with 10 g butter"
        talk.at("07:30", days=day).note(f"{plate} at 7:30")
        rows = UP if day % 2 else [5.0 + 0.4 * (v - 5.0) for v in UP]
        talk.at("10:20", days=day).file(readings_csv(MORNING.replace(day=2 + day), rows))


def test_a_dish_and_a_taught_name_as_their_parts() -> None:
    with talking() as fresh:
        eat(fresh, range(8))
        said = fresh.say("what does porridge do to me?")
        assert re.match(r"Your porridge \(.*oats 60 g.*\) adds about \d\.\d mmol/L", said), said
        assert "from 4 meals" in said
        fresh.say("my tram bowl is 60 g oats and 200 ml milk")
        said = fresh.say("should my tram bowl go?")
        assert said.startswith("Your tram bowl ("), said
        assert "a flat line is not the only aim" in said
        assert "tram bowl" in fresh.app.draw(picture_of(fresh), fresh.person).alt


def test_what_was_eaten_once_is_too_early() -> None:
    with talking() as fresh:
        eat(fresh, range(3))
        assert fresh.say("should the porridge go?").startswith("I saw your porridge (")
        assert "too early to judge" in fresh.heard[-1].text
        assert fresh.say("should the toast go?").startswith("I can't say of")
        fresh.say("undo")
    with talking() as fresh:
        assert "no meals with a curve" in fresh.say("what had I better leave out?")
        assert fresh.say("what does it do to me?").startswith("I have no meal noted yet")


def test_a_picture_whose_meals_are_gone_is_a_lookup_error() -> None:
    with talking() as fresh:
        eat(fresh, range(6))
        fresh.say("what drives it?")
        specs = [picture_of(fresh)]
        fresh.say("what does porridge do to me?")
        specs.append(picture_of(fresh))
        for meal in fresh.meals():
            with fresh.app.store.begin() as tx:
                tx.log.remove(meal.id, update_id="gone", at=MORNING)
        for spec in specs:
            with pytest.raises(LookupError):
                fresh.app.draw(spec, fresh.person)
