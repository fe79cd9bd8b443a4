"""A clock of twelve hours and mg/dL reach every answer, every picture down to its axes, and the report."""

import re
from collections.abc import Iterator

import pytest

from bot.answers.drawing import figure_of
from bot.model.messages import PictureSpec
from tests.analysis.plots.conftest import check_layout, words
from tests.simulated.logged import talk_after_weeks
from tests.talk import Talk

ASKED = {
    "curve": "how was dinner yesterday?",
    "week": "best and worst this week",
    "day": "show yesterday",
    "average": "average day",
    "waking": "average day from waking",
    "two": "weekdays against weekends",
    "compare": "compare oats and lentils",
    "fasting": "what's my fasting?",
    "run": "how complete is my record?",
    "servings": "show all my oats",
    "eating": "how long between meals?",
    "foods": "what drives it?",
    "portion": "what does rice do to me?",
    "variants": "versions of my breakfast",
    "lever": "does a walk help?",
    "review": "how was my week?",
}
"""A question for each kind of picture that shows one person's glucose or days."""
BY_24 = re.compile(r"\b\d\d:\d\d\b(?! [ap]m)")
QUOTED = re.compile(r"“[^”]*”")


@pytest.fixture(scope="module")
def talk() -> Iterator[Talk]:
    with talk_after_weeks() as talk:
        talk.say("use am/pm")
        talk.say("switch to mg/dL")
        yield talk


@pytest.mark.parametrize("kind", ASKED)
def test_neither_answer_nor_picture_holds_the_other_clock_or_unit(talk: Talk, kind: str) -> None:
    said = QUOTED.sub("", talk.say(ASKED[kind]))
    spec = talk.heard[-1].picture
    assert spec is not None, said
    assert spec.kind == kind
    with talk.app.store.read() as tx:
        person = tx.people.get("local")
        assert person is not None
        figure, alt = figure_of(tx, person, spec)
    for text in (said, alt, *words(figure)):
        assert not BY_24.search(text), text
        assert "mmol" not in text, text
    check_layout(figure)


@pytest.mark.parametrize("kind", ["day", "average", "two"])
def test_the_axis_of_a_day_is_written_by_halves(talk: Talk, kind: str) -> None:
    talk.say(ASKED[kind])
    with talk.app.store.read() as tx:
        person, spec = tx.people.get("local"), talk.heard[-1].picture
        assert person is not None
        assert spec is not None
        figure, _ = figure_of(tx, person, spec)
    assert {"12 am", "12 pm", "8 pm"} <= {*words(figure)}


def test_the_report_holds_neither(talk: Talk) -> None:
    talk.say("send me the report")
    spec = talk.heard[-1].picture
    assert isinstance(spec, PictureSpec)
    page = talk.app.draw(spec, "local").page.decode()
    shown = re.sub(r"<style.*?</style>|<script.*?</script>|<[^>]*>", " ", page, flags=re.DOTALL)
    unquoted = QUOTED.sub("", shown)
    assert [unquoted[found.start() - 60 : found.end()] for found in BY_24.finditer(unquoted)] == []


def test_24_hours_come_back(talk: Talk) -> None:
    talk.say("24-hour clock please")
    assert BY_24.search(talk.say(ASKED["day"]))
    talk.say("12-hour clock")
    assert not BY_24.search(QUOTED.sub("", talk.say(ASKED["day"])))


@pytest.mark.parametrize(
    "words_said",
    ["my sensor keeps 12 hours", "slept 12 hours", "a 24 hour fast", "toast at 5 pm", "fasted 24 hours"],
)
def test_what_is_no_wish_for_a_clock_changes_none(talk: Talk, words_said: str) -> None:
    talk.say(words_said)
    with talk.app.store.read() as tx:
        person = tx.people.get("local")
    assert person is not None
    assert person.clock == "12"
