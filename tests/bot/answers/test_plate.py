"""“What made this one climb?” and “half the rice next time?”, of a simulated person whose truth is known."""

import re
from collections.abc import Iterator
from datetime import timedelta

import pytest

from analysis.foods.contrasts import Changed, Contrast
from analysis.foods.explained import Explained, Part
from bot.answers.plate import SMALLER, read_grams
from bot.app import App
from bot.model.clock import SettableClock
from bot.reply.results_meal import explained, portion
from tests.simulated.logged import FIRST, log_weeks
from tests.talk import Talk, talking

DAYS = 28
NAMES = {"rice": "white rice", "peas": "peas"}


@pytest.fixture(scope="module")
def talk() -> Iterator[Talk]:
    clock = SettableClock(FIRST + timedelta(days=DAYS - 1, hours=21, minutes=30))
    app = App("sqlite://", zone="UTC", unit="mmol/L", clock=clock)
    log_weeks(app.store, DAYS)
    try:
        yield Talk(app, clock)
    finally:
        app.close()


@pytest.mark.parametrize(
    "asked",
    [
        "what made this one climb?",
        "why was dinner so high?",
        "what was it about that dinner?",
        "what made dinner go up like that",
    ],
)
def test_what_made_dinner_climb(talk: Talk, asked: str) -> None:
    """255 g of white rice that evening, a median of 174 g at others, 2.6 for a gram of carbohydrate."""
    said = talk.say(asked)
    assert re.match(
        r"Over two hours white rice and lentils \(18:00\) ran \d\.\d mmol/L above its start on average; your "
        r"\d+ other meals led me to expect \d\.\d \(likely \d\.\d to \d\.\d\)\. Of its foods, white rice",
        said,
    ), said
    assert "255 g of white rice, where 174 g is usual: 0." in said
    assert "I can't see what wasn't noted, stress, illness" in said
    assert said.endswith("would tell what the amount did.")
    assert talk.heard[-1].picture is not None


@pytest.mark.parametrize("asked", ["why was lunch so high?", "what was it about lunch?"])
def test_another_meal_of_the_day(talk: Talk, asked: str) -> None:
    assert "(12:00) ran" in talk.say(asked)


@pytest.mark.parametrize(
    "asked",
    [
        "half the rice next time?",
        "what if I had half the rice?",
        "would half the rice be better",
        "what would 87 g of rice do instead?",
    ],
)
def test_half_the_rice(talk: Talk, asked: str) -> None:
    said = talk.say(asked)
    assert said.startswith("87 g of white rice instead of your usual 174 g: I'd expect 0."), said
    assert re.search(r"likely 0\.\d to 0\.\d lower, from \d+ meals", said), said
    assert "my model's line, not seen yet" in said
    picture = talk.heard[-1].picture
    assert picture is not None
    assert picture.kind == "portion"


@pytest.mark.parametrize(
    "asked",
    [
        "would a smaller bowl do?",
        "is a smaller portion enough?",
        "what if I took less of it, a smaller plate?",
    ],
)
def test_a_smaller_one_is_of_the_last_meal(talk: Talk, asked: str) -> None:
    assert talk.say(asked).startswith("116 g of white rice instead of your usual 174 g")


def test_what_was_never_eaten_or_is_as_usual(talk: Talk) -> None:
    assert talk.say("half the couscous next time?").startswith("I have no couscous noted yet")
    assert "about your usual portion" in talk.say("what would 175 g of rice do instead?")


def test_with_few_meals_it_says_so() -> None:
    with talking() as fresh:
        log_weeks(fresh.app.store, 2)
        fresh.clock.move_to(FIRST + timedelta(days=1, hours=21))
        assert "What drove it I can't part yet" in fresh.say("what made lunch climb?")
        assert "it was the sensor's first day" in fresh.say("why was lunch yesterday so high?")
        assert "too early to say what another portion does" in fresh.say("half the rye bread next time?")


def test_with_nothing_noted() -> None:
    with talking() as fresh:
        assert "no meal noted" in fresh.say("what made this one climb?")
        assert "noted yet" in fresh.say("would a smaller bowl do?")


@pytest.mark.parametrize(
    ("said", "grams"),
    [
        ("half the couscous next time?", 100.0),
        ("what if I doubled the beans", 400.0),
        ("a third of the pizza", 200 / 3),
        ("a third less bread", 400 / 3),
        ("three quarters of it", 150.0),
        ("one and a half portions", 300.0),
        ("150 g of rice instead?", 150.0),
        ("50 g less rice?", 200 * SMALLER),
        ("would a smaller bowl do", 200 * SMALLER),
        ("a bigger plate?", 300.0),
        ("0 g of it", 200 * SMALLER),
    ],
)
def test_which_portion_is_meant(said: str, grams: float) -> None:
    assert read_grams(said, 200.0) == pytest.approx(grams)


def told(**more: object) -> str:
    found = Explained(
        area=240.0, expected=120.0, low=20.0, high=220.0, others=30,
        foods=(Part("food", "rice", 100.0, 200.0),), parts=(), **more,  # type: ignore[arg-type]
    )  # fmt: skip
    zone = FIRST.tzinfo
    assert zone is not None
    return explained(found, "rice and peas", FIRST, NAMES, zone=zone, unit="mmol/L", now=FIRST)


def test_what_nothing_explains_is_said() -> None:
    assert (
        "It ran 1.0 mmol/L over what I expected, more than such meals mostly vary by: nothing noted explains "
        "it." in told()
    )


def test_where_it_began_is_told_only_where_that_matters() -> None:
    said = told(level_mmol=7.0, usual_mmol=5.4, by_level=-60.0)
    assert (
        "It began at 7.0, above your usual 5.4; from there a curve gets 0.5 less, whatever was eaten." in said
    )
    assert "It began" not in told(level_mmol=5.5, usual_mmol=5.4, by_level=-4.0)


def test_nothing_is_proposed_that_puts_more_on_the_plate() -> None:
    found = Explained(
        area=50.0, expected=60.0, low=0.0, high=120.0, others=30, foods=(),
        parts=(Part("portion", "rice", -40.0, 90.0, 180.0), Part("lever", "walk after", -20.0)),
    )  # fmt: skip
    zone = FIRST.tzinfo
    assert zone is not None
    said = explained(found, "rice", FIRST, NAMES, zone=zone, unit="mmol/L", now=FIRST)
    assert "90 g of white rice, where 180 g is usual: 0.3 less." in said
    assert said.endswith("The same plate once more would tell how much of this was chance.")


def test_a_portion_between_those_eaten_and_one_that_changes_nothing() -> None:
    between = Changed("rice", 9, 150.0, 200.0, 120.0, 260.0, 90.0, 120.0, Contrast(-30.0, -48.0, 6.0))
    said = portion(between, NAMES, "mmol/L")
    assert (
        "Whether that is lower at all I can't tell yet: the difference is likely between -0.4 and 0.1" in said
    )
    assert "it lies between what I saw" in said
    peas = Changed("peas", 9, 40.0, 80.0, 60.0, 90.0, 4.0, 8.0, Contrast(-4.0, -7.0, -1.0))
    assert "would hardly change the two hours after it" in portion(peas, NAMES, "mmol/L")
