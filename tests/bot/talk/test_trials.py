"""A trial in the talk: planned, agreed to, changed, put off, ended, taken back; each in several wordings."""

import math
import re
from collections.abc import Iterator
from datetime import timedelta

import pytest

from bot.answers.trials import NO_TRIAL
from bot.model.messages import Post
from tests.talk import MORNING, Talk, readings_csv, talking

BREAKFAST = "porridge with 60 g oats, 200 ml milk and a banana"
PLAN = "test porridge with and without a walk"


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        yield one


def agreed(talk: Talk, pairs: int = 6) -> Talk:
    """A trial that runs from Monday evening on."""
    talk.at("7:00").say(BREAKFAST)
    talk.at("19:00").say(PLAN)
    talk.say(f"{pairs} pairs")
    talk.press("Agree")
    return talk


def due(talk: Talk) -> str:
    """What the trial says is next."""
    found = re.search(r"Next, in pair \d+: (.*?)\.", talk.say("how is the test going?"))
    assert found is not None
    return found[1]


def hill(day: int, rise: float) -> list[float]:
    """Six hours from 5:00 on: a gamma-shaped rise (mmol/L) from 7:00 on, with a little noise."""
    wave = [0.05 * math.sin(7 * n + day) for n in range(72)]
    since = [max(0.0, 5.0 * n - 120) / 40 for n in range(72)]
    return [5.0 + w + rise * t * math.exp(1 - t) for w, t in zip(wave, since, strict=True)]


def eat(talk: Talk, day: int, *, rise: float, walk: bool, grams: int = 60) -> str:
    """Note a breakfast of a day, then send its curve."""
    said = f"porridge with {grams} g oats, 200 ml milk and a banana at 7:00"
    talk.at("7:40", day).note(f"{said}, then walked 20 min" if walk else said)
    values = hill(day, rise)
    start = MORNING.replace(hour=5, minute=0) + timedelta(days=day)
    return talk.at("11:00", day).file(readings_csv(start, values))


@pytest.mark.parametrize(
    "said",
    [PLAN, "Can we test whether a walk after porridge helps?", "run a trial: porridge, walk or no walk"],
)
def test_the_plan_names_all_that_is_agreed_to(talk: Talk, said: str) -> None:
    talk.say(BREAKFAST)
    plan = talk.say(said)
    for part in (
        "porridge with and without a walk",
        "60 g oats, 206 g milk and 118 g banana, and no walk or exercise",
        "then a walk of at least 10 min",
        "no exercise in the 3 h before",
        "Up to 1",
        "The lot, drawn now",
        "I'll look after pair 6",
        "a difference of 30 % in 8 of 10 tests",
        "ask a clinician before you begin",
    ):
        assert part in plan
    assert [button.label for button in talk.heard[-1].buttons] == ["Agree", "Change", "Not now"]


@pytest.mark.parametrize(
    "said",
    [
        "test white rice against lentils",
        "let's test white rice vs lentils",
        "set up a fair test of white rice versus lentils",
    ],
)
def test_two_foods_in_their_usual_amounts(talk: Talk, said: str) -> None:
    talk.at("12:30").say("250 g white rice with 100 g chicken")
    talk.at("18:00").note("200 g lentils")
    plan = talk.say(said)
    assert "250 g white rice" in plan
    assert "200 g lentils" in plan
    assert "clinician" not in plan


@pytest.mark.parametrize("said", ["agree", "yes, let's do it", "ok fine", "I agree to the plan"])
def test_agreeing_in_words(talk: Talk, said: str) -> None:
    talk.say(BREAKFAST)
    talk.say(PLAN)
    assert "The lot says first: porridge with" in talk.say(said)
    assert "0 of 1" in talk.say("how is the test going?")


@pytest.mark.parametrize("said", ["not now", "no thanks", "rather later"])
def test_refusing_in_words(talk: Talk, said: str) -> None:
    talk.say(BREAKFAST)
    talk.say(PLAN)
    assert "no test" in talk.say(said)
    assert "No test runs" in talk.say("how is the test going?")


@pytest.mark.parametrize(
    ("said", "then"),
    [
        ("8 pairs", "Up to 8 pairs"),
        ("make it nine pairs", "Up to 9 pairs"),
        ("at lunch please", "for lunch"),
        ("with 80 g oats", "80 g oats"),
    ],
)
def test_changing_the_plan_keeps_its_lot(talk: Talk, said: str, then: str) -> None:
    talk.say(BREAKFAST)
    talk.say(PLAN)
    assert then in talk.say(said)
    with talk.app.store.read() as tx:
        before, after = (one.protocol["protocol"] for one in tx.trials.all("local"))
    assert before["seed"] == after["seed"]
    assert before["order"][:6] == after["order"][:6]


def test_a_change_that_cannot_be_is_asked_again(talk: Talk) -> None:
    talk.say(BREAKFAST)
    talk.say(PLAN)
    assert "6 to 14 pairs" in talk.say("3 pairs")
    assert "Up to 7 pairs" in talk.say("7 pairs")


def test_a_meal_noted_while_the_plan_waits_is_a_meal(talk: Talk) -> None:
    talk.say(BREAKFAST)
    talk.say(PLAN)
    assert "Noted" in talk.at("10:00").say("60 g oats with an apple")
    assert "The lot says first" in talk.say("let's do the test")


def test_one_trial_runs_at_a_time(talk: Talk) -> None:
    agreed(talk)
    for said in ("start a test", "test white rice against lentils", "let's run another test"):
        assert "One test runs at a time" in talk.say(said)


@pytest.mark.parametrize("said", ["not today", "no test today", "put the test off until tomorrow"])
def test_not_today_puts_it_off_and_undo_brings_it_back(talk: Talk, said: str) -> None:
    agreed(talk).at("6:35", 1)
    before = due(talk)
    assert "The lot stays" in talk.say(said)
    assert due(talk) == before
    with talk.app.store.read() as tx:
        rests = tx.trials.running("local").put_off_until
    assert rests is not None
    assert timedelta(0) < rests - talk.clock.now() <= timedelta(days=1)
    assert "not put off" in talk.say("undo")
    with talk.app.store.read() as tx:
        assert tx.trials.running("local").put_off_until is None


@pytest.mark.parametrize("said", ["stop the test", "cancel the trial please", "skip the test"])
def test_stopping_is_honest_and_can_be_undone(talk: Talk, said: str) -> None:
    agreed(talk)
    text = talk.say(said)
    assert "0 of 6 pairs" in text
    assert "Nothing can be said yet" in text
    assert "goes on" in talk.say("undo")
    assert "Next, in pair 1" in talk.say("which arm is next?")
    assert "does not run" in talk.say("undo"), "the agreement is what was done before"
    assert "Taken back: breakfast" in talk.say("undo"), "and before that the breakfast was noted"


def test_a_note_after_the_agreement_is_undone_first(talk: Talk) -> None:
    agreed(talk).at("20:00").say("an apple")
    assert "apple" in talk.say("undo")
    assert "0 of 6 pairs" in talk.say("how far is the test?")


def test_a_whole_trial_ends_clear_and_says_no_more_before_its_look(talk: Talk) -> None:
    agreed(talk)
    for day in range(1, 13):
        talk.at("6:40", day)
        walk = due(talk).endswith("with a walk")
        said = eat(talk, day, rise=(1.6 if walk else 2.6) + 0.1 * math.sin(day), walk=walk)
        first, _, rest = said.partition("Test: this counts, in pair")
        assert rest, said
        assert "evenness" not in first, "whether it counts is said before its result"
        assert ("is over" in said) == (day == 12)
        if day < 12:
            told = talk.say("how is the test going?")
            assert f"{day // 2} of 6 pairs complete" in told
            assert "no result to tell yet" in told
            assert "%" not in told
    assert "clear: porridge with a walk gives" in said
    assert talk.heard[-1].picture is not None
    assert talk.heard[-1].picture.kind == "trial"
    drawn = talk.app.draw(talk.heard[-1].picture, "local")
    assert drawn.png.startswith(b"\x89PNG")
    assert "clear" in drawn.alt
    for asked in ("how did the test go?", "what came out of the trial?", "is the test finished?"):
        assert "clear" in talk.say(asked)
    assert "A test:" in talk.say(PLAN), "another may follow"


def test_what_does_not_fit_is_set_aside_and_stays_due(talk: Talk) -> None:
    agreed(talk)
    wanted = due(talk)
    said = eat(talk, 1, rise=2.0, walk=wanted.endswith("with a walk"), grams=120)
    assert "I set this one aside. It was 120 g of oats, and 60 g were agreed." in said
    assert due(talk) == wanted
    said = eat(talk, 2, rise=2.0, walk=not wanted.endswith("with a walk"))
    assert "I set this one aside" in said
    assert due(talk) == wanted
    assert "2 servings set aside" in talk.say("how is the test going?")


def test_an_undone_serving_no_longer_counts(talk: Talk) -> None:
    agreed(talk)
    wanted = due(talk)
    assert "counts" in eat(talk, 1, rise=2.0, walk=wanted.endswith("with a walk"))
    assert due(talk) != wanted
    while "breakfast" not in talk.say("undo"):
        pass
    assert due(talk) == wanted


def test_the_same_words_and_times_give_the_same_lot() -> None:
    orders = []
    for _ in range(2):
        with talking() as talk:
            agreed(talk)
            with talk.app.store.read() as tx:
                orders.append(tx.trials.running("local").protocol["protocol"]["order"])
    assert orders[0] == orders[1]


@pytest.mark.parametrize("said", ["start a test", "suggest a test for me", "what should we test?"])
def test_a_proposal_is_of_what_is_eaten_often_and_undecided(talk: Talk, said: str) -> None:
    assert "again and again" in talk.say(said)
    for day in range(5):
        eat(talk, day, rise=2.0 + day / 5, walk=day % 2 == 1)
    plan = talk.at("19:00", 5).say(said)
    assert "with and without a walk" in plan
    assert "2 meals with it and 3 without I can't tell yet" in plan
    assert "meals vary in published studies" in plan


def test_nothing_is_tested_that_is_avoided_or_adds_carbohydrate(talk: Talk) -> None:
    talk.say(BREAKFAST)
    talk.say("I avoid lentils")
    assert "you avoid lentils" in talk.say("test white rice against lentils")
    assert "adds carbohydrate" in talk.say("test porridge with and without honey")
    assert "adds carbohydrate" in talk.say("test cola against water")
    assert "What shall I test?" in talk.say("test eating slower")
    assert "can't be drawn by lot" in talk.say("test porridge with and without a short night")
    with talk.app.store.read() as tx:
        assert tx.trials.all("local") == []


def test_who_takes_a_medicine_is_asked_to_ask_first(talk: Talk) -> None:
    talk.say(BREAKFAST)
    talk.say("I take metformin")
    assert "You told me of metformin: please ask your clinician before you begin." in talk.say(PLAN)


def test_who_struggles_with_eating_is_set_no_test(talk: Talk) -> None:
    talk.say(BREAKFAST)
    talk.say("I have an eating disorder")
    assert "I'd rather not set you a test" in talk.say(PLAN)


def test_buttons_of_another_person_or_an_old_plan(talk: Talk) -> None:
    agreed(talk)
    assert "agreed to before" in talk.press("Agree")
    other = Talk(talk.app, talk.clock, "tg:9")
    assert "not" in other.send(press="trial:agree,1", update_id="o1", message_id="x")
    for odd in ("trial:agree,99999999999999999", "trial:agree,", "trial:explode,1"):
        assert other.send(press=odd, update_id=odd, message_id="x")
    with talk.app.store.read() as tx:
        assert tx.trials.all("tg:9") == []


@pytest.mark.parametrize("said", ["print the test", "show me the protocol", "write up the trial"])
def test_it_can_be_printed_without_telling_later_lots(talk: Talk, said: str) -> None:
    assert "No test runs" in talk.say(said)
    agreed(talk)
    printed = talk.say(said)
    assert "N-of-1 trial" in printed
    assert "up to 6 pairs" in printed
    assert len(re.findall(r"\b(?:AB|BA)\b", printed)) == 1


def test_a_trial_that_was_decided_by_posted_readings_is_over_when_asked(talk: Talk) -> None:
    """What is posted in quiet hours is not told in the chat."""
    agreed(talk)
    for day in range(1, 12):
        walk = due(talk.at("6:40", day)).endswith("with a walk")
        eat(talk, day, rise=1.6 if walk else 2.6, walk=walk)
    walk = due(talk.at("6:40", 12)).endswith("with a walk")
    said = "porridge with 60 g oats, 200 ml milk and a banana at 7:00"
    talk.at("7:40", 12).note(f"{said}, then walked 20 min" if walk else said)
    values = hill(12, 1.6 if walk else 2.6)
    start = MORNING.replace(hour=5, minute=0) + timedelta(days=12)
    talk.at("23:30", 12)
    body = readings_csv(start, values).encode()
    answer, told = talk.app.take_post(Post("local", body))
    assert answer["stored"] == len(values)
    assert told == []
    assert "it is over. After 6 pairs, clear" in talk.say("how is the test going?")
    assert "A test:" in talk.say(PLAN)


def test_foods_never_eaten_apart_are_parted_by_what_was_named_last(talk: Talk) -> None:
    for day in range(5):
        eat(talk, day, rise=2.0 + day / 5, walk=False)
    plan = talk.at("19:00", 5).say("start a test")
    assert "with and without banana" in plan
    assert "never had banana without the rest" in plan


def test_to_ask_for_a_test_while_a_plan_waits_agrees_to_nothing(talk: Talk) -> None:
    talk.say(BREAKFAST)
    talk.say(PLAN)
    assert "Agreed" not in talk.say("start a test")
    assert "A test: white rice or lentils" in talk.say("test white rice against lentils")
    assert "Agreed" in talk.say("ok, start the test")


def judged(talk: Talk) -> Talk:
    """A trial of six pairs that came out clear, on the day after its last serving."""
    agreed(talk)
    for day in range(1, 13):
        walk = due(talk.at("6:40", day)).endswith("with a walk")
        eat(talk, day, rise=1.6 if walk else 2.6, walk=walk)
    return talk


def test_a_judged_trial_whose_notes_were_taken_out_promises_no_more_pairs(talk: Talk) -> None:
    judged(talk)
    assert "clear" in talk.say("how is the test going?")
    for _ in range(6):
        talk.say("undo")
    said = talk.say("how is the test going?")
    assert "changed or taken out since" in said
    assert "more pair" not in said
    assert "to go" not in talk.say("print the test")


def test_an_agreement_taken_back_after_the_verdict_can_be_given_again(talk: Talk) -> None:
    judged(talk)
    while "not agreed to" not in talk.say("undo"):
        pass
    assert talk.press("Agree").startswith("Agreed")
    assert "0 of 6 pairs complete" in talk.say("how is the test going?")


def test_not_today_said_twice_is_undone_once(talk: Talk) -> None:
    agreed(talk)
    assert "Not today, then" in talk.say("not today")
    assert "already" in talk.say("not today")
    assert "not put off" in talk.say("undo")
    assert "not agreed to" in talk.say("undo")


@pytest.mark.parametrize(
    ("told", "why"), [("I have an eating disorder", "disorder"), ("I avoid oats", "oats")]
)
def test_what_is_told_of_oneself_ends_a_test_and_a_plan(talk: Talk, told: str, why: str) -> None:
    talk.say(BREAKFAST)
    talk.say(PLAN)
    talk.say(told)
    assert why in talk.press("Agree")
    assert "No test runs" in talk.say("how is the test going?")
    assert why in talk.say("start a test") or "again and again" in talk.say("start a test")


@pytest.mark.parametrize("told", ["I have an eating disorder", "I avoid oats"])
def test_a_running_test_ends_by_what_is_told(talk: Talk, told: str) -> None:
    agreed(talk)
    ended = talk.say(told)
    assert "is ended, with 0 of 6" in ended
    assert "Undo" not in ended
    assert "is ended" in talk.say("how is the test going?")
    assert "stays ended" in talk.say("undo")
    assert "is ended" in talk.say("how is the test going?")


def test_an_amount_is_not_raised_far_above_the_usual_one(talk: Talk) -> None:
    talk.say(BREAKFAST)
    talk.say(PLAN)
    assert "at most 90 g oats" in talk.say("with 9999 g oats")
    assert "85 g oats" in talk.say("with 85 g oats")
    assert "at most 90 g oats" in talk.say("with 110 g oats")  # not by steps either
    assert "Agreed" not in talk.say("with 91 g oats")


@pytest.mark.parametrize("noted", ["no white rice, 100 g chicken", "100 g chicken without white rice"])
def test_a_plate_noted_as_without_a_food_is_not_that_food(talk: Talk, noted: str) -> None:
    talk.at("12:30").say(noted)
    talk.at("18:00").note("200 g lentils")
    assert "adds carbohydrate" in talk.say("test white rice against lentils")  # and not “100 g chicken”


def test_no_reminder_is_promised_without_a_sensor(talk: Talk) -> None:
    talk.say(BREAKFAST)
    assert "a sensor worn" in talk.say(PLAN)
    assert "remind you" not in talk.say("agree")
    talk.say("stop the test")
    talk.say("new sensor")
    assert "a sensor worn" not in talk.say(PLAN)
    assert "I'll remind you tomorrow" in talk.say("agree")


@pytest.mark.parametrize(
    "said",
    ["which one is it today, with a walk or without?", "walk or no walk today?", "and which way is next"],
)
def test_which_way_is_due_may_be_asked_without_naming_the_test(talk: Talk, said: str) -> None:
    assert "Next, in pair" not in talk.say(said), "nothing runs"
    assert "Next, in pair 1" in agreed(talk).say(said)


def test_a_plate_with_more_on_it_than_agreed_does_not_count_and_why_can_be_asked(talk: Talk) -> None:
    agreed(talk)
    walk = "walk" in due(talk) and "without" not in due(talk)
    said = "porridge with 60 g oats, 200 ml milk, a banana and a croissant at 7:00"
    talk.at("7:40", 1).note(f"{said}, then walked 20 min" if walk else said)
    start = MORNING.replace(hour=5, minute=0) + timedelta(days=1)
    heard = talk.at("11:00", 1).file(readings_csv(start, hill(1, 2.0)))
    assert "I set this one aside. There was croissant in it, and" in heard
    assert "I set the last one aside: there was croissant in it" in talk.say("did today's porridge count?")


def test_words_that_only_sound_like_an_end_are_asked_back(talk: Talk) -> None:
    agreed(talk)
    asked = talk.say("I have had enough of the porridge experiment")
    assert asked.startswith("Shall I end your test (")
    assert talk.press("No") == "Then all stays as it is."
    assert "Next, in pair" in talk.say("how is the test going?")
    talk.say("I have had enough of the porridge experiment")
    assert "“Undo” lets it go on." in talk.press("Yes")


def test_an_end_without_a_test_says_so(talk: Talk) -> None:
    assert talk.say("I have had enough of the porridge experiment").startswith(NO_TRIAL)
