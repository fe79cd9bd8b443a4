"""The same meal in two people: by consent of both, ended by either, and nothing else crosses."""

import json
from collections.abc import Iterator
from dataclasses import fields, replace
from datetime import timedelta

import pytest

from bot.answers.ours import strip
from bot.app import App
from bot.frames.servings import occasions_between
from bot.model.clock import SettableClock
from bot.store.shares import LASTS, make_code
from tests.simulated.logged import FIRST, log_weeks
from tests.talk import Talk

DAYS = 14
ANNA, BEN = "chat 4711", "chat 4712"


@pytest.fixture(scope="module")
def app() -> Iterator[App]:
    clock = SettableClock(FIRST + timedelta(days=DAYS, hours=9))
    one = App("sqlite://", zone="UTC", unit="mmol/L", clock=clock)
    log_weeks(one.store, DAYS, person=ANNA, seed=1)
    log_weeks(one.store, DAYS, person=BEN, seed=2)
    yield one
    one.close()


_count = 0


@pytest.fixture
def two(app: App) -> Iterator[tuple[Talk, Talk]]:
    """Two people who share nothing yet."""
    global _count
    found = []
    for person in (ANNA, BEN):
        talk = Talk(app, app.clock, person)  # type: ignore[arg-type]
        _count += 1000
        talk._count = _count
        found.append(talk)
    yield found[0], found[1]
    for talk in found:
        talk.say("stop sharing")


def offer(talk: Talk, asked: str = "compare my oats with someone") -> str:
    talk.say(asked)
    code = talk.heard[-1].once.strip()
    assert len(code) == 9, talk.heard[-1].text
    return code


def share(two: tuple[Talk, Talk]) -> None:
    first, second = two
    second.say(offer(first))
    assert second.press("I agree").startswith("Agreed")


@pytest.mark.parametrize(
    "asked",
    [
        "compare my oats with someone", "Can I share my oats with my sister?", "compare oats with my wife's",
        "set my oats side by side with a friend's",
    ],
)  # fmt: skip
def test_a_meal_is_offered_in_several_wordings(two: tuple[Talk, Talk], asked: str) -> None:
    said = two[0].say(asked)
    assert "that is your yes" in said
    assert "No name, no time, no amount, no other entry" in said
    assert two[0].heard[-1].once.strip()


def test_both_agree_look_and_one_ends_it(two: tuple[Talk, Talk]) -> None:
    first, second = two
    code = offer(first)
    assert first.say("our oats").startswith("Nothing of oats crosses yet")
    asked = second.say(f"code {code.lower()}")
    assert "how many servings there are" in asked
    assert "Do you agree?" in asked
    assert first.say("our oats").startswith("Nothing of oats crosses yet")
    assert second.say("I agree").startswith("Agreed")
    mine, theirs = first.say("our oats"), second.say("how is our oats doing?")
    (_, you, other, *_), (_, you_too, other_too, *_) = mine.splitlines(), theirs.splitlines()
    assert you.removeprefix("You") == other_too.removeprefix("The other")
    assert other.removeprefix("The other") == you_too.removeprefix("You")
    spec = second.heard[-1].picture
    assert spec is not None
    picture = second.app.draw(spec, second.person)
    assert "the other's oats" in picture.alt
    assert "Mar" not in picture.alt
    assert first.say("what do I share?").startswith("Oats: shared with one person.")
    assert second.say("stop sharing my oats").startswith("Ended")
    for talk in two:
        assert talk.say("our oats").startswith("You share no meal")
    with pytest.raises(LookupError):
        second.app.draw(spec, second.person)


def test_a_no_shares_nothing_and_uses_the_code_up(two: tuple[Talk, Talk]) -> None:
    first, second = two
    code = offer(first)
    second.say(code)
    assert second.press("No").startswith("Nothing is shared")
    assert "is over" in second.press("I agree")
    assert second.say(code).startswith("That code is used up")
    assert first.say("our oats").startswith("You share no meal")


def test_a_code_works_once_for_one_other_and_not_for_oneself(two: tuple[Talk, Talk]) -> None:
    first, second = two
    code = offer(first)
    assert first.say(code).startswith("That is your own code")
    second.say(code)
    third = Talk(first.app, first.clock, "chat 4713")
    third._count = 10**6
    assert third.say(code).startswith("That code is used up")
    assert "not agreed" in third.say("agree") or third.say("our oats").startswith("You share no meal")
    assert second.say("agree").startswith("Agreed")
    assert first.say("compare my oats with someone").startswith("You share oats with somebody already")


def test_a_newer_code_ends_the_older(two: tuple[Talk, Talk]) -> None:
    older, newer = offer(two[0]), offer(two[0])
    assert two[1].say(older).startswith("That code is used up")
    assert "Do you agree?" in two[1].say(newer)


def test_codes_and_questions_expire(two: tuple[Talk, Talk], app: App) -> None:
    first, second = two
    code, kept = offer(first), offer(first, "compare my pear with someone")
    assert "Do you agree?" in second.say(kept)
    second.clock.move_to(second.clock.now() + LASTS)
    assert second.say(code).startswith("That code is used up")
    assert "is over" in second.press("I agree")
    app.tick()
    with app.store.read() as tx:
        assert tx.shares.all(ANNA, FIRST) == []


def test_stopping_before_the_yes_takes_the_offer_back(two: tuple[Talk, Talk]) -> None:
    first, second = two
    second.say(offer(first))
    first.say("stop sharing")
    assert "is over" in second.press("I agree")
    assert second.say("our oats").startswith("You share no meal")


@pytest.mark.parametrize("asked", ["compare my breakfast with someone", "share my dinners with a friend"])
def test_a_whole_meal_of_the_day_is_not_shared(two: tuple[Talk, Talk], asked: str) -> None:
    assert "more than one meal" in two[0].say(asked)
    assert two[0].heard[-1].once == ""


def test_nothing_else_crosses(two: tuple[Talk, Talk], app: App) -> None:
    """All that the other reads and sees is the same after everything else of the person has changed."""
    first, second = two
    share(two)
    before = second.say("our oats")
    spec = second.heard[-1].picture
    assert spec is not None
    alt = app.draw(spec, BEN).alt
    secret = "quincejelly"
    with app.store.begin() as tx:
        tx.people.update(ANNA, zone="Asia/Kathmandu", unit="mg/dL")
    first.say(f"call my last breakfast {secret}")
    first.say("I take metformin")
    first.say(f"note: {secret} 200 g at 8:50")
    first.say("my weight is 83 kg")
    after = second.say("our oats")
    assert after == before
    again = second.heard[-1].picture
    assert again is not None
    assert app.draw(again, BEN).alt == alt
    heard = json.dumps([[m.text, str(m.picture), m.once] for m in second.heard])
    assert secret not in heard
    assert ANNA not in heard
    assert "2026" not in after
    for asked in ("our rice", "how was lunch", "what did we eat", "versions of our breakfast"):
        assert secret not in second.say(asked)
    with app.store.begin() as tx:
        tx.people.update(ANNA, zone="UTC", unit="mmol/L")


def test_what_is_stripped_holds_only_curve_and_score(app: App) -> None:
    with app.store.read() as tx:
        person = tx.people.get(ANNA)
        assert person is not None
        found = occasions_between(tx, person, FIRST, FIRST + timedelta(days=DAYS))
    serving = next(s for s, _ in found if s.evenness is not None and s.activities)
    assert serving.curve is not None
    flagged = replace(serving, curve=replace(serving.curve, flags=("late bite",)))
    crosses = strip(flagged, "oats", 3)
    kept = {"minutes", "mmol", "curve", "evenness"}
    empty = {"entry_id": 0, "slot": "", "title": "oats", "key": "", "carbs_g": None, "activities": ()}
    for field in fields(crosses):
        value = getattr(crosses, field.name)
        if field.name in empty:
            assert value == empty[field.name]
        elif field.name == "at":
            assert value.year == 1970
        elif field.name not in kept:
            assert value == field.default, field.name
    assert crosses.curve is not None
    assert crosses.curve.flags == ()
    assert crosses.minutes.min() >= -30
    assert crosses.minutes.max() <= 150


def test_erasing_oneself_ends_it_for_both(app: App) -> None:
    for eraser in (0, 1):
        people = [f"chat {900 + 2 * eraser + k}" for k in (0, 1)]
        talks = []
        for k, person in enumerate(people):
            talk = Talk(app, app.clock, person)  # type: ignore[arg-type]
            talk._count = 10**7 * (1 + 2 * eraser + k)
            talk.say("hello")
            talks.append(talk)
        talks[1].say(offer(talks[0]))
        talks[1].say("agree")
        with app.store.begin() as tx:
            tx.people.erase(people[eraser])
            assert tx.shares.all(people[0], app.clock.now()) == []
            assert tx.shares.all(people[1], app.clock.now()) == []
        assert talks[1 - eraser].say("our oats").startswith("You share no meal")


def test_notes_stay_notes(two: tuple[Talk, Talk]) -> None:
    share(two)
    assert two[0].note("our breakfast was 200 g pasta at 8:10").startswith("Noted")
    two[0].say("undo")
    for code in (make_code() for _ in range(200)):
        assert all(any(c.isdigit() for c in half) for half in code.split("-"))
    assert "code" not in two[0].say("tart-cake at 8:20")
    two[0].say("undo")


def test_the_code_is_in_no_table(two: tuple[Talk, Talk], app: App) -> None:
    from sqlalchemy import select

    from bot.store.tables import metadata

    code = offer(two[0])
    two[1].say(code)
    with app.store.read() as tx:
        connection = tx.people._connection
        for table in metadata.sorted_tables:
            for row in connection.execute(select(table)):
                assert code not in str(row), table.name


@pytest.mark.parametrize("between", ["lunch: 100 g white rice", "how was lunch?"])
def test_a_stray_ok_later_on_shares_nothing(two: tuple[Talk, Talk], between: str) -> None:
    first, second = two
    second.say(offer(first))
    second.say(between)
    for said in ("ok", "yes", "okay"):
        assert "Agreed" not in second.say(said)
    second.say("hello")
    assert "Do you agree?" in second.say("I agree")
    assert first.say("our oats").startswith("Nothing of oats crosses yet")
    assert second.say("yes").startswith("Agreed")


def test_an_edit_agrees_to_nothing(two: tuple[Talk, Talk]) -> None:
    second = two[1]
    second.say("hello", message_id="e1")
    second.say(offer(two[0]))
    assert "Agreed" not in second.say("I agree", message_id="e1", edited=True)
    assert two[0].say("our oats").startswith("Nothing of oats crosses yet")


def test_a_button_pressed_twice_does_not_deny_what_is_shared(two: tuple[Talk, Talk]) -> None:
    share(two)
    for label in ("I agree", "No"):
        assert two[1].press(label).startswith("You agreed to that")
    assert two[1].say("what do I share?").startswith("Oats: shared")


@pytest.mark.parametrize("what", ["everything", "my data", "my food", "my curves", "1", "our day", "meals"])
def test_what_names_no_meal_is_not_shared(two: tuple[Talk, Talk], what: str) -> None:
    assert "more than one meal" in two[0].say(f"share {what} with a friend")
    assert two[0].heard[-1].once == ""


def test_what_only_sounds_like_sharing_is_asked_back(two: tuple[Talk, Talk]) -> None:
    asked = two[0].say("could you put my oats next to my brother's oats?")
    assert asked.startswith("Shall I make a code for oats")
    assert two[0].press("Make a code").startswith("Hand the code below")


def test_undo_of_a_yes_ends_what_is_shared_and_undo_of_an_end_shares_nothing(two: tuple[Talk, Talk]) -> None:
    share(two)
    assert "shared with nobody" in two[1].say("undo")
    assert not shares_of(two[0])
    share(two)
    two[0].say("stop sharing")
    assert two[0].say("undo").startswith("What you ended stays ended")
    assert not shares_of(two[0])


def shares_of(talk: Talk) -> list[object]:
    with talk.app.store.read() as tx:
        return list(tx.shares.all(talk.person, talk.clock.now()))
