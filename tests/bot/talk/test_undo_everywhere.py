"""“Undo” after everything that changes what is kept: it is as it was before, and the answer says so."""

from collections.abc import Iterator
from datetime import timedelta

import pytest

from tests.simulated.logged import FIRST, log_weeks
from tests.talk import MORNING, Talk, readings_csv, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as opened:
        opened.say("rye toast with butter at 6:30")
        opened.at("7:10").say("/shift early 20:30-04:00")
        opened.say("my muesli is 60 g oats and 20 g raisins")
        opened.say("I can't stand celery")
        opened.at("7:20")
        yield opened


NOT_STATE = (
    "inbox",
    "outbox",
    "imports",
    "changes",
    "acts",
    "reminders",
    "first_hour",
    "pending",
    "cautions",
    "asked",
)


def state(talk: Talk) -> dict[str, list[dict[str, object]]]:
    """Return all that is kept about the person, but for what happened and what was said."""
    with talk.app.store.read() as tx:
        held = tx.everything(talk.person)
    kept = {name: [dict(row) for row in rows] for name, rows in held.items() if name not in NOT_STATE}
    for rows in kept.values():
        for row in rows:
            row.pop("id", None)
            row.pop("removed_at", None)
    kept["entries"] = [
        {"at": one.at, "entry": one.entry}
        for one in talk.logged("meal", "activity", "reading", "sleep", "sync", "sensor", "feeling", "skipped")
    ]
    return kept


ACTS = [
    ("switch to mg/dL", "your unit is mmol/L again"),
    ("/unit mg/dL", "your unit is mmol/L again"),
    ("/zone New York", "your clock is Europe/Vienna again"),
    ("/quiet 21:00-05:00", "your quiet hours are as before"),
    ("/quiet off", "your quiet hours are as before"),
    ("I sleep 17:30 to 0:45", "your quiet hours are as before"),
    ("/lead 90", "I ask 60 min before readings are lost again"),
    ("/memory 7 h", "your sensor keeps 8 h again"),
    ("turn the reminders off", "reminders are on again"),
    ("/remind less", "reminders are on again"),
    ("/nudge on", "asking about days without notes is off again"),
    ("my sensor lasts 10 days", "your sensors last 14 days again"),
    ("/pictures dark", "pictures are light again"),
    ("hide scores", "scores are shown again"),
    ("/token", "the new token works no more"),
    ("compare my muesli with someone", "muesli is shared with nobody any more"),
    ("/shift late 02:00-09:00", "your shifts are as before"),
    ("early shift from Thursday", "your shifts are as before"),
    ("I take metformin", "I no longer keep that you take metformin"),
    ("I'm vegetarian", "I no longer keep that"),
    ("weekdays I sit at the desk from 9 to half 12", "I no longer keep that “desk on weekdays, 09:00-12:30”"),
    ("forget that I avoid celery", "I know again that you avoid celery"),
    ("my bar: 60 g, 21 g carbs, 15 g protein, 9 g fat", "“bar” is no word of yours"),
    ("my muesli is 40 g oats and 10 g raisins", "“muesli” means what it meant before"),
    ("forget my muesli", "“muesli” means what it meant before"),
    ("call this my early-shift breakfast", "“early-shift breakfast” is no word of yours"),
    ("200 g cooked rice at 7:15", "Taken back: breakfast"),
    ("no, 3 slices toast", "reakfast 06:30"),
    ("it was at 6:10", "from 06:10 to 06:30"),
    ("remove the butter", "butter"),
    ("walked 10 min at 7:00", "Taken back: walk"),
    ("5.4 at 7:00", "Taken back: the reading"),
    ("slept 22:30 to 6:15", "Taken back: the sleep"),
    ("synced", "Taken back: the sync"),
    ("new sensor on at 7:00", "Taken back: the sensor"),
    ("felt tired at 7:00", "Taken back: tired"),
]


@pytest.mark.parametrize(("act", "said"), ACTS, ids=[act for act, _ in ACTS])
def test_undo_puts_back_what_an_act_changed(talk: Talk, act: str, said: str) -> None:
    before = state(talk)
    answer = talk.say(act)
    if "or something new?" in answer:
        talk.press("Something new")
    assert state(talk) != before
    assert said in talk.say("undo")
    assert state(talk) == before


def test_a_token_that_was_ended_works_again(talk: Talk) -> None:
    talk.say("/token")
    before = state(talk)
    talk.say("/token off")
    assert "the token that you had before works again" in talk.say("undo")
    assert state(talk) == before


def test_undo_again_goes_one_act_further_back(talk: Talk) -> None:
    before = state(talk)
    talk.say("switch to mg/dL")
    talk.say("200 g cooked rice at 7:15")
    talk.say("hide scores")
    assert [talk.say("undo").split(" again")[0].split(" (")[0] for _ in range(3)] == [
        "Taken back: scores are shown",
        "Taken back: breakfast",
        "Taken back: your unit is mmol/L",
    ]
    assert state(talk) == before


def test_a_setting_and_a_note_of_one_message_go_together(talk: Talk) -> None:
    before = state(talk)
    talk.say("200 g cooked rice at 7:15. switch to mg/dL")
    said = talk.say("undo")
    assert "Taken back: breakfast" in said
    assert "your unit is mmol/L again" in said
    assert state(talk) == before


def test_what_changes_by_itself_is_not_taken_back(talk: Talk) -> None:
    talk.say("late shift from Thursday")
    talk.say("2:00-9:00")
    talk.at("12:00", 4).tick()
    quiet = talk.say("/quiet")
    talk.say("switch to mg/dL")
    talk.say("undo")
    assert talk.say("/quiet") == quiet


def test_a_file_is_taken_out_by_a_button_once_it_is_asked_for(talk: Talk) -> None:
    talk.at("12:00").file(readings_csv(MORNING, [5.0] * 20))
    talk.at("13:00").file(readings_csv(MORNING, [5.0] * 30), name="later.csv")
    assert "“later.csv”" in talk.say("undo the file")
    assert "10 readings" in talk.press("Take out")
    with talk.app.store.read() as tx:
        assert tx.readings.count(talk.person) == 20


def test_a_bare_undo_is_never_in_doubt_however_much_is_noted() -> None:
    with talking(start=FIRST + timedelta(days=28, hours=9)) as talk:
        log_weeks(talk.app.store, 28, person=talk.person, seed=2)
        assert talk.say("undo").startswith("Taken back: ")
