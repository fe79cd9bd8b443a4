"""Versions of a staple, asked in the chat and on the command line, of people whose meals are known."""

import json
import re
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest

from bot.app import App
from bot.commandline.analyse import analyse
from bot.model.clock import SettableClock
from bot.understanding.context import Context
from bot.understanding.questions.varied import find_varied
from tests.bot.answers.test_drawing import RISE
from tests.simulated.logged import FIRST, log_weeks
from tests.talk import MORNING, Talk, readings_csv, talking

DAYS = 28
PNG = b"\x89PNG\r\n\x1a\n"


@pytest.fixture(scope="module")
def talk() -> Iterator[Talk]:
    clock = SettableClock(FIRST + timedelta(days=DAYS, hours=9))
    app = App("sqlite://", zone="UTC", unit="mmol/L", clock=clock)
    log_weeks(app.store, DAYS)
    try:
        yield Talk(app, clock)
    finally:
        app.close()


def breakfast(talk: Talk, what: str, day: int) -> None:
    talk.at("07:30", days=day).say(f"{what} at 7:30")
    talk.at("10:20", days=day).file(readings_csv(MORNING + timedelta(days=day), RISE))


@pytest.mark.parametrize(
    "asked",
    [
        "versions of my breakfast", "my oats variants", "which way of my oats is kindest?",
        "what happens when I change my breakfast?", "How do the variations of my breakfast compare?",
        "different ways of making my oats",
    ],
)  # fmt: skip
def test_versions_by_slot_and_by_food(talk: Talk, asked: str) -> None:
    said = talk.say(asked)
    first, second, *_ = said.splitlines()
    assert re.match(
        r"Your usual (breakfast|oats) is \d\d g oats and \d+ g banana: \d servings, mean ev", first
    )
    assert second == "Against it, on average over the two hours after, in mmol/L:"
    assert "walk after: 0." in said
    assert "+ 118 g pear" in said.split("Seen once, too early to judge")[1]
    spec = talk.heard[-1].picture
    assert spec is not None
    picture = talk.app.draw(spec, talk.person)
    assert picture.png.startswith(PNG)
    assert picture.alt.startswith(first.split()[2].capitalize() + ": oats and banana. ")


def test_a_meal_without_a_staple_hears_so_and_which_meal_has_one(talk: Talk) -> None:
    said = talk.say("versions of my snack")
    assert said.startswith("I have no snack with a curve yet")
    assert "A meal you do have again and again is white rice and lentils" in said


def test_the_contract(talk: Talk) -> None:
    found: list[dict[str, Any]] = json.loads(
        analyse(talk.app, "local", "variants", None, None, as_json=True, out=None)
    )
    assert len(found) >= 2
    for one in found:
        assert {"staple", "versions"} <= one.keys()
        assert sum(version["servings"] for version in one["versions"]) == one["servings"]
        usual, *others = one["versions"]
        assert (usual["difference"], usual["effect"]) == ("as usual", None)
        for version in others:
            assert {"difference", "servings", "mean_score", "effect"} <= version.keys()
            assert version["effect"]["low"] <= version["effect"]["estimate"] <= version["effect"]["high"]
            assert (version["effect"]["level"], version["effect"]["unit"]) == (0.9, "mmol/L*min")
            assert (version["seen"] is None) == (min(version["servings"], usual["servings"]) < 2)
            assert version["servings"] >= 3 or not version["told_apart"]
    oats = next(one for one in found if one["staple"] == "oats and banana")
    walks = [v for v in oats["versions"] if v["difference"] in ("walk after", "no walk after")]
    sign = 1 if walks[0]["difference"] == "no walk after" else -1
    # truly 30 % of the area: 60 g oats hold 36 g and 110 g banana 22 g at 1.6 a gram
    assert sign * walks[0]["effect"]["low"] < 0.3 * 58 * 1.6 < max(sign * v for v in _ends(walks[0])) + 20


def _ends(version: dict[str, Any]) -> tuple[float, float]:
    return version["effect"]["low"], version["effect"]["high"]


def test_in_words_on_the_command_line(talk: Talk) -> None:
    said = analyse(talk.app, "local", "variants", None, None, as_json=False, out=None)
    assert said.count("Your usual ") >= 2


def test_nobody_has_a_staple_at_first_and_then_one() -> None:
    with talking() as fresh:
        assert fresh.say("versions of my breakfast").startswith("I have no breakfast with a curve yet")
        assert analyse(fresh.app, "local", "variants", None, None, as_json=True, out=None) == "[]"
        for day in range(4):
            breakfast(fresh, ("90 g granola", "80 g white toast", "200 g yoghurt", "2 eggs")[day], day)
        said = fresh.say("versions of my breakfast")
        assert said.startswith("I see no staple in your breakfast: of 4 servings with a curve"), said
        for day in range(4, 10):
            breakfast(fresh, "60 g oats, 200 ml milk", day)
        same = fresh.say("versions of my breakfast")
        assert "You always had it the same way" in same
        breakfast(fresh, "30 g oats, 200 ml milk", 10)
        said = fresh.say("versions of my breakfast")
        assert "Seen once, too early to judge: half the " in said
        assert "No version can be judged yet: it takes 3 servings of it" in said


@pytest.mark.parametrize(
    "said",
    [
        "on my way to work: banana", "the lighter version of the curry", "2 versions of porridge",
        "had the vegan version of lasagne for lunch", "how do i change my breakfast",
        "ways to lower my glucose", "what did i change yesterday", "which way is it going",
    ],
)  # fmt: skip
def test_other_sentences_ask_for_no_versions(said: str) -> None:
    from bot.foodtable import load_table

    context = Context(now=MORNING, zone=MORNING.tzinfo, table=load_table())  # type: ignore[arg-type]
    assert find_varied(said, context) is None
