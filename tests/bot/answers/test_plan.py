"""What to try next, asked in the chat and on the command line, of a simulated person."""

import json
from collections.abc import Iterator
from datetime import datetime, timedelta

import pytest

from bot.answers.avoided import find_avoided, is_treated
from bot.answers.plan import find_run
from bot.app import App
from bot.commandline.analyse import analyse
from bot.model.clock import SettableClock
from bot.model.entries import Fact, Sensor
from tests.simulated.logged import FIRST, log_weeks
from tests.talk import Talk, talking

EVENING = timedelta(hours=22)


class AnyClock(SettableClock):
    """A clock that may be set back, too, since all is stored already."""

    def move_to(self, at: datetime) -> None:
        self._at = at


@pytest.fixture(scope="module")
def talk() -> Iterator[Talk]:
    """Four weeks as stored; the clock may stand on any day of them."""
    clock = AnyClock(FIRST + timedelta(days=27) + EVENING)
    app = App("sqlite://", zone="UTC", unit="mmol/L", clock=clock)
    log_weeks(app.store, 28)
    try:
        yield Talk(app, clock)
    finally:
        app.close()


def on_day(talk: Talk, day: int) -> Talk:
    talk.clock.move_to(FIRST + timedelta(days=day - 1) + EVENING)
    return talk


@pytest.mark.parametrize(
    "asked",
    [
        "what is worth trying?", "anything worth a try this week?", "is there something worth trying?",
        "what should I test next?", "what do I test next", "what can we test next?",
        "what's still unknown?", "what don't you know yet?", "what are you still unsure about?",
        "plan my next days", "plan the coming days for me", "how do I best use the days left?",
        "what had I better eat to learn more?", "which meal would teach you most?",
        "what should I eat so that you learn most",
        "which phase of the run am I in?", "what phase is this?", "how far through my run am I?",
    ],
)  # fmt: skip
def test_each_way_of_asking_gives_the_list(talk: Talk, asked: str) -> None:
    said = on_day(talk, 26).say(asked)
    assert said.startswith("Day 26 of 28: the last days, for what is still open; 3 of them to come")
    assert "\n1. " in said
    assert "\n4. " not in said
    assert said.endswith("not advice on what is good for you.")


def test_the_pair_that_was_never_apart_is_to_be_parted(talk: Talk) -> None:
    said = on_day(talk, 26).say("what is worth trying?")
    assert "came with banana in all 12 meals" in said or "came with oats in all 12 meals" in said
    assert "not told apart:" in said
    assert "banana and oats" in said
    assert "A fair test of it: “test " in said


def test_the_first_days_are_as_usual_and_name_what_was_seen_seldom(talk: Talk) -> None:
    said = on_day(talk, 4).say("what is worth trying?")
    first, *rest = said.splitlines()
    assert first == (
        "Day 4 of 28: the days for eating as usual, so that I see your own meals; 4 of them to come, today "
        "included."
    )
    assert all("again as usual" in line for line in rest if line[0].isdigit())
    assert "seen once or twice: " in said
    assert "only" in said


def test_a_meal_of_the_day_may_be_named(talk: Talk) -> None:
    said = on_day(talk, 26).say("any ideas for breakfast?")
    listed = [line for line in said.splitlines() if line[0].isdigit()]
    assert listed
    assert all("at breakfast" in line for line in listed)


def test_what_is_avoided_is_not_suggested(talk: Talk) -> None:
    try:
        on_day(talk, 26).say("I'm allergic to banana")
        said = talk.say("what is worth trying?")
        assert "banana" not in said.lower()
        assert "\n1. " in said
        talk.say("I'm lactose intolerant")
        said = talk.say("what is worth trying?")
        assert "butter" not in said.lower()
    finally:
        forget(talk)


def test_the_plate_of_a_test_that_runs_is_left_as_it_was_agreed(talk: Talk) -> None:
    def listed() -> str:
        lines = on_day(talk, 26).say("what is worth trying?").splitlines()
        return " ".join(line for line in lines if line[0].isdigit()).lower()

    assert "oats" in listed()
    talk.say("test oats with and without a walk")  # and no walk is taken back
    assert "Agreed" in talk.press("Agree")
    try:
        said = listed()
        assert said
        assert "oats" not in said
    finally:
        talk.say("stop the test")


@pytest.mark.parametrize(
    "said", ["I'm pregnant", "I take metformin twice a day", "I have an eating disorder"]
)
def test_changes_of_meals_are_left_to_a_clinician(talk: Talk, said: str) -> None:
    try:
        on_day(talk, 12).say(said)
        plan = talk.say("what is worth trying?")
        assert "for you and whoever treats you to say" in plan
        listed = [line for line in plan.splitlines() if line[0].isdigit()]
        assert all("again as usual" in line for line in listed)
        assert "fair test" not in plan
    finally:
        forget(talk)


def forget(talk: Talk) -> None:
    with talk.app.store.begin() as tx:
        for fact in tx.facts.all("local"):
            tx.facts.forget("local", fact)


def test_json_has_the_documented_keys_most_informative_first(talk: Talk) -> None:
    found = json.loads(analyse(on_day(talk, 26).app, "local", "plan", None, None, as_json=True, out=None))
    assert found
    assert set(found[0]) == {
        "try", "why", "kind", "foods", "change", "slot", "carbs_g", "tells_of", "worth",
    }  # fmt: skip
    worth = [one["worth"] for one in found]
    assert worth == sorted(worth, reverse=True)
    assert all(0 < one < 1 for one in worth)
    words = analyse(talk.app, "local", "plan", None, None, as_json=False, out=None)
    assert words == talk.say("what is worth trying?")
    until = analyse(talk.app, "local", "plan", None, "2026-03-01", as_json=True, out=None)
    assert until == "[]"


def test_a_run_goes_on_with_the_next_sensor_and_ends_without(talk: Talk) -> None:
    with talk.app.store.read() as tx:
        person = tx.people.get("local")
        assert person is not None
        days = (0, 13, 14, 27, 33, 36, 60)
        runs = [find_run(tx, person, FIRST + timedelta(days=day, hours=12)) for day in days]
        assert find_run(tx, person, FIRST - timedelta(hours=1)) is None
    assert [run.day if run else None for run in runs] == [1, 14, 15, 28, 34, None, None]


def test_a_run_is_as_long_as_its_sensors_are_worn() -> None:
    with talking() as fresh:
        fresh.say("/sensor 10 days")
        start, lengths = fresh.clock.now(), []
        with fresh.app.store.begin() as tx:
            person = tx.people.get("local")
            assert person is not None
            for n in range(3):
                at = start + timedelta(days=10 * n)
                put_on = Sensor("started", at)
                tx.log.add("local", put_on, message_id=None, at=at, update_id=f"s{n}", ordinal=0)
                run = find_run(tx, person, at + timedelta(hours=1))
                lengths.append(run and run.days)
    assert lengths == [20, 20, 30]


def test_a_sensor_after_a_pause_begins_a_new_run() -> None:
    with talking() as fresh:
        fresh.say("hello")
        with fresh.app.store.begin() as tx:
            for n, day in enumerate((0, 12, 60)):
                at = fresh.clock.now() + timedelta(days=day)
                put_on = Sensor("started", at)
                tx.log.add("local", put_on, message_id=None, at=at, update_id=f"s{n}", ordinal=0)
        with fresh.app.store.read() as tx:
            person = tx.people.get("local")
            assert person is not None
            runs = [find_run(tx, person, fresh.clock.now() + timedelta(days=day)) for day in (20, 62)]
    assert [run and run.day for run in runs] == [21, 3]


def test_with_nothing_noted_it_says_what_is_needed() -> None:
    with talking() as fresh:
        said = fresh.say("what is worth trying?")
    assert said == (
        "What to try next I can't say yet: I have no meal with a curve of its own. Eat as usual, note it, "
        "sync and send me the readings."
    )


FOODS = {
    "Oats, raw": ["oats"], "Milk, whole": ["milk"], "Oat milk": ["oat milk"], "Chicken breast": ["chicken"],
    "Fish, salmon, baked": ["salmon"], "Egg, whole, boiled": ["egg"], "Bread, rye": ["rye bread"],
    "Peanut butter": ["peanut butter"], "Butter, stick": ["butter"], "Beer": ["beer"],
    "Doughnut, cake type": ["doughnut"], "Wine vinegar": ["vinegar"],
    "Bread, gluten free": ["gluten free bread"],
}  # fmt: skip


@pytest.mark.parametrize(
    ("said", "avoided"),
    [
        ([], {"Beer"}),
        (["vegetarian"], {"Beer", "Chicken breast", "Fish, salmon, baked"}),
        (["vegan"], {
            "Beer", "Chicken breast", "Fish, salmon, baked", "Milk, whole", "Egg, whole, boiled",
            "Butter, stick",
        }),
        (["lactose"], {"Beer", "Milk, whole", "Butter, stick"}),
        (["celiac"], {"Beer", "Oats, raw", "Oat milk", "Bread, rye", "Doughnut, cake type"}),
        (["nuts"], {"Beer", "Peanut butter"}),
        (["eggs, fish"], {"Beer", "Egg, whole, boiled", "Fish, salmon, baked"}),
        (["rye"], {"Beer", "Bread, rye"}),
    ],
)  # fmt: skip
def test_which_foods_are_avoided(said: list[str], avoided: set[str]) -> None:
    assert find_avoided([Fact("avoids", one) for one in said], FOODS.items()) == avoided


def test_who_is_treated() -> None:
    assert is_treated([Fact("pregnancy", "pregnant")])
    assert not is_treated([Fact("avoids", "nuts"), Fact("routine", "desk; mon-fri; 09:00-12:30")])
