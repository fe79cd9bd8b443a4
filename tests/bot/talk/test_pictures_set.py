"""Pictures as a person wants them: dark or light, and in words."""

from collections.abc import Iterator
from io import BytesIO

import pytest
from matplotlib.colors import to_rgb
from matplotlib.image import imread

from analysis.plots import dark, style
from bot.model.messages import IN_WORDS, Picture
from tests.bot.answers.test_drawing import RISE
from tests.talk import MORNING, Talk, readings_csv, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        one.at("07:30").say("60 g oats at 7:30")
        one.at("10:20").file(readings_csv(MORNING, RISE))
        yield one


def draw_day(talk: Talk) -> Picture:
    talk.say("show today")
    spec = talk.heard[-1].picture
    assert spec is not None
    return talk.app.draw(spec, talk.person)


def paper_of(picture: Picture) -> tuple[float, ...]:
    return tuple(float(v) for v in imread(BytesIO(picture.png))[0, 0, :3])


def test_pictures_are_light_until_somebody_says_dark(talk: Talk) -> None:
    assert paper_of(draw_day(talk)) == pytest.approx(to_rgb(style.PAPER), abs=0.01)
    assert "are light" in talk.say("/pictures")
    assert "will be dark" in talk.say("/pictures dark")
    assert paper_of(draw_day(talk)) == pytest.approx(to_rgb(dark.PAPER), abs=0.01)
    assert "are dark" in talk.say("/pictures blue")
    talk.say("/pictures light")
    assert paper_of(draw_day(talk)) == pytest.approx(to_rgb(style.PAPER), abs=0.01)


def test_a_picture_says_what_it_shows(talk: Talk) -> None:
    talk.say("show today")
    message = talk.heard[-1]
    talk.send(press=f"{IN_WORDS}:{message.id}")
    spec = talk.heard[-1].picture
    assert message.picture is not None
    assert spec is not None
    assert spec.in_words
    assert talk.app.draw(spec, talk.person).alt == talk.app.draw(message.picture, talk.person).alt


@pytest.mark.parametrize("data", [f"{IN_WORDS}:999", f"{IN_WORDS}:", f"{IN_WORDS}:1"])
def test_words_of_no_picture(talk: Talk, data: str) -> None:
    assert talk.send(press=data)
    assert talk.heard[-1].picture is None


def test_words_of_another_persons_picture_are_not_told(talk: Talk) -> None:
    talk.say("show today")
    other = Talk(talk.app, talk.clock, "somebody else")
    other._count = 100
    other.say("hello")
    other.send(press=f"{IN_WORDS}:{talk.heard[-1].id}")
    assert other.heard[-1].picture is None
