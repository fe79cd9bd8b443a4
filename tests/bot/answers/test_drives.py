"""What drives it, asked in the chat and on the command line, of a simulated person whose truth is known."""

import json
import re
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest

from bot.answers.levers import find_lever
from bot.commandline.analyse import analyse
from bot.model.entries import Fact
from tests.simulated.logged import FIRST, log_weeks, talk_after_weeks
from tests.talk import Talk, talking

DAYS = 28


@pytest.fixture(scope="module")
def talk() -> Iterator[Talk]:
    with talk_after_weeks() as one:
        yield one


def read(talk: Talk, what: Any) -> list[dict[str, Any]]:
    found = json.loads(analyse(talk.app, "local", what, None, None, as_json=True, out=None))
    assert isinstance(found, list)
    return found


def test_foods_have_the_promised_keys_and_the_truth_in_their_intervals(talk: Talk) -> None:
    found = {one["food"]: one for one in read(talk, "foods")}
    rice = found["white rice, as in the table"]
    assert set(rice) == {
        "name", "food", "meals", "typical_g", "effect", "nutrients_say", "plain_mean", "together_with",
        "next_step",
    }  # fmt: skip
    assert set(rice["effect"]) == {"estimate", "low", "high", "level", "unit"}
    assert (rice["name"], rice["effect"]["level"], rice["effect"]["unit"]) == (
        "white rice",
        0.9,
        "mmol/L*min",
    )
    # 28 g carbohydrate in 100 g, 2.6 a gram, walks of .7 after a third of the meals
    assert rice["effect"]["low"] < 0.28 * rice["typical_g"] * 2.6 * 0.9 < rice["effect"]["high"]
    lentils = found["lentils, as in the table"]
    assert lentils["effect"]["low"] < 0.13 * lentils["typical_g"] * 1.0 * 0.9 < lentils["effect"]["high"]
    assert lentils["plain_mean"] > 3 * lentils["effect"]["estimate"]  # the rice beside them
    assert found["oats, as in the table"]["together_with"] == ["banana"]
    assert found["oats, as in the table"]["next_step"].startswith("Oats without banana")


def test_habits_have_the_promised_keys_and_find_the_walk(talk: Talk) -> None:
    found = {one["name"]: one for one in read(talk, "habits")}
    walk = found["walk after"]
    assert set(walk) == {"name", "with", "without", "effect", "plain", "control", "verdict"}
    assert (walk["effect"]["level"], walk["effect"]["unit"]) == (0.9, "%")
    assert walk["effect"]["low"] < -30 < walk["effect"]["high"] < 0
    assert walk["verdict"] == "smaller rise with it"
    assert walk["control"]["name"] == "walk hours before"
    assert "walk hours before" not in found
    assert found["vinegar"]["verdict"].startswith("too early to judge")


def test_words_on_the_command_line(talk: Talk) -> None:
    foods = analyse(talk.app, "local", "foods", None, None, as_json=False, out=None)
    assert foods.splitlines()[1].startswith("white rice, ")
    habits = analyse(talk.app, "local", "habits", None, None, as_json=False, out=None)
    assert "Plain averages" in habits
    assert "Take care: its acid wears teeth" in habits


@pytest.mark.parametrize(
    "asked", ["what does rice do to me", "white rice and me: any verdict", "tell me about white rice"]
)
def test_a_food(talk: Talk, asked: str) -> None:
    said = talk.say(asked)
    assert re.match(r"Your usual \d+ g of white rice adds about [01]\.\d mmol/L to the two hours", said), said
    assert "of half of it" in said


def test_foods_that_were_only_eaten_together_are_told_of_as_one(talk: Talk) -> None:
    said = talk.say("what does banana do to me?")
    assert "banana and oats together add about" in said
    assert "You only had them together" in said


@pytest.mark.parametrize(
    "asked", ["what drives it?", "what are my worst foods?", "what's driving my glucose?"]
)
def test_what_drives_it(talk: Talk, asked: str) -> None:
    said = talk.say(asked)
    assert "add most to the two hours after a meal" in said
    assert said.index("white rice") < said.index("rye bread")


@pytest.mark.parametrize("asked", ["does a walk help?", "are the strolls paying off?", "walking: any use?"])
def test_a_walk(talk: Talk, asked: str) -> None:
    said = talk.say(asked)
    assert re.match(r"A walk after the meal \(usually 20 min\) goes with about \d+ % less rise", said), said
    assert "beyond chance" in said
    assert "(Reynolds 2016, Diabetologia)" in said
    assert "insulin" not in said


def test_the_caution_is_for_whom_it_concerns(talk: Talk) -> None:
    with talk.app.store.begin() as tx:
        tx.facts.keep("local", Fact("medicine", "metformin"), talk.clock.now())
    assert "too low" in talk.say("does a walk help?")
    with talk.app.store.begin() as tx:
        tx.facts.forget("local", Fact("medicine", "metformin"))


@pytest.mark.parametrize(
    "asked", ["vinegar, any use?", "does vinegar do anything?", "is the vinegar worth it?"]
)
def test_what_is_not_known_comes_first(talk: Talk, asked: str) -> None:
    said = talk.say(asked)
    assert said.startswith("Vinegar: too early to judge.")
    assert "Take care: its acid wears teeth" in said


def test_what_was_never_noted(talk: Talk) -> None:
    assert talk.say("does cinnamon do anything?").startswith("Cinnamon: none noted")
    assert "none noted with a meal" in talk.say("does running before dinner help?")


def test_a_food_seen_once_is_too_early_to_judge() -> None:
    with talking() as fresh:
        log_weeks(fresh.app.store, 2)
        fresh.clock.move_to(FIRST + timedelta(days=3))
        said = fresh.say("what does rye bread do to me?")
        assert said.startswith("I saw rye bread once with a curve of its own: too early to judge.")
        assert "beyond chance" not in said


def test_with_nothing_noted_it_says_what_is_needed() -> None:
    with talking() as fresh:
        fresh.say("/unit mmol/L")
        assert fresh.say("what drives it?").startswith("I can't tell yet: I have no meals with a curve.")
        assert "none noted with a meal" in fresh.say("does a walk help?")


@pytest.mark.parametrize(
    ("subject", "lever"),
    [
        ("walk", "walk after"),
        ("strolls", "walk after"),
        ("chores", "chores after"),
        ("gym", "exercise after"),
        ("salad first", "vegetables first"),
        ("late dinners", "late meal"),
        ("night shifts", ""),
        ("poor sleep", "short sleep"),
        ("acv", "vinegar"),
        ("screen time", ""),
    ],
)
def test_which_lever_is_meant(subject: str, lever: str) -> None:
    assert find_lever(subject, f"does {subject} matter?") == lever
