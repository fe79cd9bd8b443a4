"""Pictures asked for by name: their words, their figures by hand, and what is said without data."""

from collections.abc import Iterator
from datetime import date, timedelta

import pytest

from bot.frames.run import run_between
from bot.model.messages import PictureSpec
from bot.understanding.context import Context
from bot.understanding.questions.named import read_named
from tests.bot.answers.test_drawing import RISE, drawn
from tests.talk import MORNING, VIENNA, Talk, readings_csv, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        yield one


def live(talk: Talk, days: int, first: int = 0) -> None:
    """Eat oats or toast each morning; the sensor is read from 7:00 to 10:20."""
    for day in range(first, first + days):
        plate = f"{40 + 10 * day} g oats" if day % 2 else "80 g white toast"
        talk.at("07:30", days=day).say(f"{plate} at 7:30")
        talk.at("10:20", days=day).file(readings_csv(MORNING + timedelta(days=day), RISE))


def test_early_against_late_shifts(talk: Talk) -> None:
    talk.say("/shift early 20:30-04:00")
    live(talk, 5)
    talk.at("11:00", days=4).say("/shift late 01:00-08:30")
    live(talk, 5, first=5)
    alt = drawn(talk, "early against late shifts")
    said = talk.heard[-1].text
    assert said.startswith("Early shifts (4 days) against late shifts (6 days).\n")
    assert said.endswith("At no hour do they part by more than chance does.")
    assert alt.startswith(
        "No hour in which they part beyond chance. Early shifts against late shifts, 2 to 11"
    )
    assert "early shifts, 4 days" in alt
    spec = talk.heard[-1].picture
    assert spec is not None
    early = [date.fromordinal(n).day for n in spec.groups[0][1]]
    assert early == [2, 3, 4, 5]


def test_a_planned_shift_counts_once_it_began(talk: Talk) -> None:
    talk.say("/shift early 20:30-04:00")
    talk.say("/shift late 01:00-08:30 from Wednesday")
    live(talk, 4)
    with talk.app.store.read() as tx:
        begun = [(switch.from_on.day, switch.name) for switch in tx.shifts.begun("local")]
    # "late" was said as a plan and "early" from now on
    assert begun == [(2, "early"), (4, "late")]
    talk.say("early shifts against late shifts")
    assert talk.heard[-1].text.startswith("Early shifts (2 days) against late shifts (2 days).\nToo early")


def test_shifts_that_nobody_told(talk: Talk) -> None:
    live(talk, 2)
    assert "no day with readings of early shifts. Tell me your shifts" in talk.say("early vs late shifts")
    assert talk.heard[-1].picture is None


def test_the_day_from_waking(talk: Talk) -> None:
    assert "I need your nights" in talk.say("average day from waking")
    for day in range(2):
        live(talk, 1, first=day)
        talk.at("12:00", days=day).note("slept from 22:00 to 6:30")
    alt = drawn(talk, "average day from waking")
    # 7.9, 8.2 and 8.0 from 7:45 on, 75 min after waking at 6:30
    assert "to 8.0 at 1 h 15 after waking" in alt
    assert "it is highest 75 min after waking, at 8.0 mmol/L" in talk.heard[-1].text


def test_how_complete_the_record_is(talk: Talk) -> None:
    assert "Nothing is on record" in talk.say("how complete is my record?")
    live(talk, 3)
    alt = drawn(talk, "how complete is my record?")
    # Monday counts from 7:00 on: 200 min of 17 h read; Tuesday of 24 h; Wednesday of its 10 h 20
    share = (200 / 1020 + 200 / 1440 + 200 / 620) / 3
    with talk.app.store.read() as tx:
        person = tx.people.get("local")
        assert person is not None
        run = run_between(tx, person, MORNING - timedelta(days=2), talk.clock.now())
    assert run is not None
    assert run.share == pytest.approx(share)
    assert (run.scored, run.meals, run.nights_lost) == (3, 3, 2)
    assert f"3 days, {share:.0%}".replace("%", " %") in talk.heard[-1].text
    assert "3 of 3 meals have a score." in talk.heard[-1].text
    assert alt.startswith("22 % of 3 days was read, 2 nights are lost.")


def test_all_servings_of_one_food(talk: Talk) -> None:
    live(talk, 6)
    alt = drawn(talk, "show all my oats")
    assert "3 servings: 50 to 90 g oats, evenness" in alt
    listed = alt.partition("By portion: ")[2]
    assert listed.index("50 g oats") < listed.index("70 g oats") < listed.index("90 g oats")
    talk.say("show all my lentil soup")
    assert "I have no serving of lentil soup with readings." in talk.heard[-1].text


def test_how_long_between_meals_has_a_picture(talk: Talk) -> None:
    live(talk, 3)
    alt = drawn(talk, "how long between meals?")
    assert alt.startswith("Usually 07:30 to 07:30. When you eat, 2 to 4 March: 3 times of eating")


def test_what_is_gone_is_a_lookup_error(talk: Talk) -> None:
    live(talk, 1)
    far = MORNING - timedelta(days=100)
    for kind in ("run", "eating", "waking"):
        with pytest.raises(LookupError):
            talk.app.draw(PictureSpec(kind, "x", since=far, until=far + timedelta(days=1)), talk.person)  # type: ignore[arg-type]
    with pytest.raises(LookupError):
        talk.app.draw(PictureSpec("servings", "x", groups=(("oats", (99,)),)), talk.person)


@pytest.mark.parametrize(
    ("said", "sort", "subject", "against"),
    [
        ("early against late shifts", "shifts", "early", "late"),
        ("Compare late shifts with days off please", "shifts", "late", "off"),
        ("how do early shifts and late shifts differ?", "shifts", "early", "late"),
        ("weekends against late shifts", "shifts", "weekend", "late"),
        ("show my average day from waking", "waking", "", ""),
        ("my average day since waking up", "waking", "", ""),
        ("how complete is my record?", "run", "", ""),
        ("show my run", "run", "", ""),
        ("wear of my sensors", "run", "", ""),
        ("show me all my porridge", "servings", "porridge", ""),
        ("every serving of oats", "servings", "oats", ""),
        ("my oats by portion", "servings", "oats", ""),
    ],
)
def test_pictures_by_name(context: Context, said: str, sort: str, subject: str, against: str) -> None:
    found = read_named(said, context)
    assert found is not None
    assert (found.sort, found.subject, found.against) == (sort, subject, against)


@pytest.mark.parametrize(
    "said",
    [
        "run", "my run", "run 30 min", "late shift from Thursday", "early shift and late dinner", "day off",
        "all my oats", "show all my meals", "weekdays against weekends", "early against early shifts",
        "show my average day", "porridge", "",
    ],
)  # fmt: skip
def test_not_pictures_by_name(context: Context, said: str) -> None:
    assert read_named(said, context) is None


@pytest.fixture(scope="module")
def context() -> Context:
    from bot.foodtable import load_table

    return Context(now=MORNING, zone=VIENNA, table=load_table())
