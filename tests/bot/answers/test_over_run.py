"""What remains over a run, asked in the chat and on the command line, of simulated people."""

import json
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from bot.answers.over_run import feelings_in, part_spans
from bot.app import App
from bot.commandline.analyse import analyse
from bot.model.clock import SettableClock
from bot.model.entries import Activity, Feeling, Item, Meal, Nutrients, Question
from bot.store import Person, Store
from tests.simulated.logged import FIRST, log_weeks
from tests.talk import Talk, talking

DAYS = 28


def log_feelings(store: Store, days: int) -> None:
    """Store “tired” on three days of four, at hours of no meaning, and “shaky” on four days."""
    with store.begin() as tx:
        for day in range(days):
            for what, due, hour in (("tired", day % 4 > 0, 14 + day % 5), ("shaky", day % 7 == 0, 11)):
                if due:
                    at = FIRST + timedelta(days=day, hours=hour, minutes=17)
                    key = f"{what}{day}"
                    tx.log.add("local", Feeling(what, at), update_id=key, ordinal=0, message_id=None, at=at)


@pytest.fixture(scope="module")
def talk() -> Iterator[Talk]:
    clock = SettableClock(FIRST + timedelta(days=DAYS, hours=9))
    app = App("sqlite://", zone="UTC", unit="mmol/L", clock=clock)
    log_weeks(app.store, DAYS)
    log_feelings(app.store, DAYS)
    try:
        yield Talk(app, clock)
    finally:
        app.close()


def read(talk: Talk, what: Any) -> Any:
    return json.loads(analyse(talk.app, "local", what, None, None, as_json=True, out=None))


@pytest.mark.parametrize(
    "asked",
    ["is it improving?", "am I steadier than at first?", "did the second half go better than the first?"],
)
def test_two_halves_of_a_run(talk: Talk, asked: str) -> None:
    said = talk.say(asked)
    assert said.startswith("Not clear yet whether your last 14 whole days were steadier than your first 14:")
    assert "different sensors" in said
    assert "A day held, then and now," in said


def test_the_last_ten_days_against_the_first(talk: Talk) -> None:
    said = talk.say("are my last ten days steadier than the first?")
    assert "your last 10 days were steadier than your first 10 days" in said


@pytest.mark.parametrize(
    "asked",
    [
        "when I'm tired, is my glucose low?",
        "is the tiredness down to my glucose?",
        "am I low when I'm knackered?",
    ],
)
def test_a_feeling_that_means_nothing(talk: Talk, asked: str) -> None:
    said = talk.say(asked)
    assert said.startswith("Feeling tired, noted 21 times, on 21 days with readings: no link that I can tell")
    assert "I'll look again at 28 days" in said
    assert "Feeling shaky" not in said


def test_a_feeling_noted_on_few_days_is_too_early_and_for_a_clinician(talk: Talk) -> None:
    said = talk.say("does feeling shaky go with a low?")
    assert said.startswith("Feeling shaky, noted 4 times, on 4 days with readings: too early to judge.")
    assert "doctor" in said


@pytest.mark.parametrize(
    "asked",
    ["what makes a good day?", "what separates good days from bad?", "what do my good days have in common?"],
)
def test_good_days(talk: Talk, asked: str) -> None:
    said = talk.say(asked)
    assert "Days with more carbohydrate were less steady than others" in said
    assert "beyond chance over all" in said
    assert "A flatter line from eating less is no gain by itself." in said


@pytest.mark.parametrize(
    "asked", ["do I eat enough fibre?", "am I getting enough fibre?", "how much fibre do I eat a day?"]
)
def test_fibre_beside_published_lines(talk: Talk, asked: str) -> None:
    said = talk.say(asked)
    assert "noted whole, of 28 with notes: about 2" in said
    assert "at least 25 g (EFSA 2010, WHO 2023); at least 30 g (SACN 2015)" in said
    assert "clinician" in said  # some 870 kcal a day: the simulated notes hold no more


def test_what_foods_do_not_state_is_not_made_up(talk: Talk) -> None:
    assert "How much protein it is I can't say" in talk.say("enough protein?")


@pytest.mark.parametrize(
    "asked",
    ["how much do I move after meals?", "how often do I walk after eating?", "walks after meals so far?"],
)
def test_movement_after_meals(talk: Talk, asked: str) -> None:
    said = talk.say(asked)
    assert said.startswith("You moved after ")
    assert "usually for 20 min" in said
    assert "in the second" in said


def test_json_of_a_run(talk: Talk) -> None:
    felt = read(talk, "feelings")
    assert {(one["feeling"], one["of"]) for one in felt} == {
        (name, kind) for name in ("tired", "shaky") for kind in ("level", "slope")
    }
    assert set(felt[0]) == {"feeling", "of", "times", "days", "difference", "beyond_chance", "next_look"}
    progress = read(talk, "progress")
    assert [one["of"] for one in progress] == ["spread", "mean"]
    assert (progress[0]["days"], progress[0]["sensor_in_both"]) == ([14, 14], False)
    good = read(talk, "good-days")
    assert set(good) == {"days", "looked_at", "found"}
    assert "oats" in good["looked_at"]
    intakes = read(talk, "intakes")
    fibre = next(one for one in intakes["intakes"] if one["nutrient"] == "fibre")
    assert fibre["lines"][0]["source"] == "EFSA 2010, WHO 2023"


def test_words_on_the_command_line(talk: Talk) -> None:
    for what, begins in (
        ("feelings", "Feeling tired"), ("progress", "Not clear yet"), ("good-days", "Days with"),
        ("intakes", "A day, over"),
    ):  # fmt: skip
        assert analyse(talk.app, "local", what, None, None, as_json=False, out=None).startswith(begins)  # type: ignore[arg-type]


def test_with_nothing_noted_each_says_what_it_needs() -> None:
    with talking() as fresh:
        fresh.say("/unit mmol/L")
        assert fresh.say("is it improving?").startswith("Too early to judge: comparing two spans takes 4")
        assert fresh.say("what makes a good day?").startswith("Too early to judge")
        assert fresh.say("when I'm tired, is my glucose low?").startswith(
            "I can't tell yet: I have no note of"
        )
        assert "none before today" in fresh.say("do I eat enough fibre?")
        assert "no meal noted" in fresh.say("how much do I move after meals?")
        assert read(fresh, "feelings") == []
        assert read(fresh, "progress") == []


def test_a_day_with_one_meal_noted_is_no_day() -> None:
    with talking() as fresh:
        fresh.say("60 g oats and a banana at 7:00")
        fresh.at("9:00", days=1)
        said = fresh.say("do I eat enough fibre?")
        assert said.startswith("I can't tell yet: of 1 day with notes none looks whole")


def test_whole_days_stand_beside_the_lines() -> None:
    clock = SettableClock(FIRST + timedelta(days=8, hours=9))
    app = App("sqlite://", zone="UTC", unit="mmol/L", clock=clock)
    held = Nutrients(700.0, 80.0, 12.0, 10.0, 25.0, 9.0 + 0.1, 30.0)
    with app.store.begin() as tx:
        tx.people.ensure("local", zone="UTC", unit="mmol/L", at=FIRST)
        for day in range(7):
            for hour, slot in ((7, "breakfast"), (13, "lunch"), (19, "dinner")):
                at = FIRST + timedelta(days=day, hours=hour, minutes=7 * day)
                plate = Item("plate", "plate", "plate", 400, 400, 400, True, 1.0, held)
                key = {"update_id": f"{day}{slot}", "message_id": None, "at": at}
                tx.log.add("local", Meal(at, slot, (plate,)), ordinal=0, **key)  # type: ignore[arg-type]
                if hour == 13:
                    tx.log.add("local", Activity("walk", 20.0, at + timedelta(minutes=20)), ordinal=1, **key)  # type: ignore[arg-type]
    try:
        talk = Talk(app, clock)
        assert "at least 30 g (SACN 2015), and yours meets it" in talk.say("do I eat enough fibre?")
        assert "at most 10 % of energy (WHO 2023), and yours is above it" in talk.say(
            "do I get too much saturated fat?"
        )
        assert "at most 10 % of energy" in talk.say("how many saturates a day on average?")
        both = talk.say("how much fat and how much sat fat do I eat on average?")
        assert both.index("10 % of energy") >= 0
        assert "20 to 35 % of energy" in both, both
        assert "0.83 g a kg" in talk.say("enough protein?")
        assert "45 to 60 % of energy (EFSA 2010), and yours meets it" in talk.say(
            "how many carbs a day on average?"
        )
        assert "You moved after 7 of 21 meals, usually for 20 min" in talk.say(
            "how much do I move after meals?"
        )
    finally:
        app.close()


@pytest.mark.parametrize(
    ("said", "names"),
    [
        ("when I'm tired, is my glucose low?", ["tired"]),
        ("am I low when I get the shakes", ["shaky"]),
        ("how do my feelings go with my glucose?", []),
        ("sleepy or shaky: is it my glucose", ["tired", "shaky"]),
        ("do I feel clear-headed when it is flat", ["clear-headed"]),
    ],
)
def test_which_feeling_is_meant(said: str, names: list[str]) -> None:
    assert feelings_in(said) == names


def test_which_spans_are_compared() -> None:
    zone = ZoneInfo("UTC")
    person = Person("local", zone, "mmol/L", time(22), time(7), 60, 480, FIRST)
    days = tuple(date(2026, 3, 2) + timedelta(days=k) for k in range(20))
    now = datetime(2026, 3, 21, 20, tzinfo=zone)
    since = datetime(2026, 3, 15, tzinfo=zone)
    before = part_spans(days, Question("day", since, now, sort="progress"), person, now)
    assert (before.first, before.last) == (days[6:13], days[13:])
    first = part_spans(days, Question("day", since, now, sort="progress", against="first"), person, now)
    assert (first.first, first.names) == (days[:7], ("your first 7 days", "your last 7 days"))
    ended = part_spans(days, Question("day", since - timedelta(days=6), since, sort="progress"), person, now)
    assert (ended.first, ended.last) == (days[7:13], days[13:])
    assert part_spans(days, Question("day", sort="progress"), person, now).first == days[:10]
