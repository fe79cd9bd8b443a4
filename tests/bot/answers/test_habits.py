"""Habits asked about in the chat in many words: what is known, what is not, and the picture."""

from collections.abc import Iterator
from datetime import timedelta

import pytest

from analysis.habits.effects import LeverEffect, Percent
from analysis.habits.fat import FAT
from bot.answers.drawing import draw
from bot.answers.levers import find_lever
from bot.app import App
from bot.model.clock import SettableClock
from bot.reply.results_habits import brief_levers, one_lever, verdict
from tests.simulated.logged import FIRST, log_weeks
from tests.talk import Talk

DAYS = 28


@pytest.fixture(scope="module")
def talk() -> Iterator[Talk]:
    clock = SettableClock(FIRST + timedelta(days=DAYS, hours=9))
    app = App("sqlite://", zone="UTC", unit="mmol/L", clock=clock)
    log_weeks(app.store, DAYS)
    try:
        yield Talk(app, clock)
    finally:
        app.close()


@pytest.mark.parametrize(
    "asked",
    [
        "what do my habits do?",
        "which habits help?",
        "do my routines help?",
        "which of my habits are worth it?",
    ],
)
def test_all_habits(talk: Talk, asked: str) -> None:
    said = talk.say(asked)
    assert said.startswith("A walk after the meal (usually 20 min): about ")
    assert "beyond chance among all" in said
    assert "I can't tell yet: " in said


@pytest.mark.parametrize(
    ("lever", "asked"),
    [
        (
            "A walk after",
            [
                "is it worth walking after dinner?",
                "do my strolls do any good?",
                "should I walk after dinner?",
            ],
        ),
        (
            "Lemon juice",
            ["lemon juice, any use?", "does lemon juice help me?", "is the lemon juice worth it?"],
        ),
        (
            "Vinegar",
            ["does vinegar do anything for me?", "vinegar, any point?", "has the vinegar done me any good?"],
        ),
        (
            "A late meal",
            ["late dinners — bad for me?", "is eating late bad for me?", "do late dinners matter?"],
        ),
        (
            "Fat beside",
            ["does fat with the bread help?", "is fat any use?", "does fat beside the carbs do anything?"],
        ),
        ("Being stressed", ["does stress raise me?", "am I higher on stressful days?"]),
        (
            "Sitting after",
            ["does sitting at the desk after breakfast matter?", "is sitting on the sofa bad?"],
        ),
        (
            "Exercise before",
            ["does training before lunch make a difference?", "does running before dinner help?"],
        ),
        ("A short night", ["do short nights matter?", "what difference does a bad night make"]),
    ],
)
def test_each_in_several_wordings(talk: Talk, lever: str, asked: list[str]) -> None:
    for one in asked:
        assert talk.say(one).startswith(lever), one


def test_the_picture_says_what_the_words_say(talk: Talk) -> None:
    said = talk.say("does a walk help?")
    spec = talk.heard[-1].picture
    assert spec is not None
    assert spec.kind == "lever"
    with talk.app.store.read() as tx:
        picture = draw(tx, spec, "local")
    change = picture.alt.partition("about ")[2].partition(" rise")[0]
    assert f"goes with about {change} rise" in said
    assert "with it 31 meals" in picture.alt
    talk.say("does cinnamon help?")
    assert talk.heard[-1].picture is None


@pytest.mark.parametrize(
    ("said", "lever"),
    [
        ("is wine with dinner bad", "alcohol"), ("does my period matter", "period"), ("fat?", FAT),
        ("does the desk cost me", "sitting after"), ("screen time?", ""),
    ],
)  # fmt: skip
def test_which_lever(said: str, lever: str) -> None:
    assert find_lever("", said) == lever


def effect(name: str, estimate: float, p: float, **more: object) -> LeverEffect:
    known = Percent(estimate, estimate - 8, estimate + 8)
    return LeverEffect(name, 9, 30, 1.0, known, estimate, p <= 0.05, 4, p=p, **more)  # type: ignore[arg-type]


def test_of_many_one_that_is_beyond_chance_alone_is_not_told() -> None:
    found = [effect("walk after", -20.0, 0.04), *[effect(f"felt {k}", 2.0, 0.7) for k in range(6)]]
    assert one_lever(found[0], medicine=False).startswith("A walk after the meal (usually 15 min) goes with")
    assert brief_levers(found).startswith("I can't tell yet: a walk after the meal")
    assert "of so many habits at once" in one_lever(found[0], medicine=False, among_all=False)


def test_fat_is_said_to_come_later_where_four_hours_do_not_show_it_gone() -> None:
    two_hours = effect(FAT, -30.0, 0.001)
    gone = effect(FAT, -30.0, 0.001, late=Percent(-25.0, -35.0, -10.0))
    later = effect(FAT, -30.0, 0.001, late=Percent(2.0, -9.0, 15.0))
    assert verdict(gone) == "smaller rise with it"
    assert verdict(later) == verdict(two_hours) == "smaller rise with it, perhaps only later"
    assert "so it may only come later" in one_lever(later, medicine=False)
    assert "too few of my curves reach four hours" in one_lever(two_hours, medicine=False)
    assert "don't add it for the curve alone" in one_lever(gone, medicine=False)
