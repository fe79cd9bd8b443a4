"""When a caution is said, and when not again; what stays noted beside it; scores that are hidden."""

from collections.abc import Iterator
from datetime import datetime, timedelta

import pytest

from bot.reply import fixed
from bot.reply.cautions import EATING, FASTING, KIND, LOW, NOTHING_NOTED, SCORES_HIDDEN
from tests.talk import MORNING, Talk, readings_csv, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as opened:
        yield opened


def test_insulin_is_noticed_and_not_noted_as_food(talk: Talk) -> None:
    assert fixed.ASK_A_CLINICIAN in talk.say("took 5 units")
    assert not talk.meals()
    assert "you take insulin" in talk.say("/settings")


def test_a_caution_is_said_once_a_week(talk: Talk) -> None:
    assert fixed.ASK_A_CLINICIAN in talk.say("took 5 units")
    assert fixed.ASK_A_CLINICIAN not in talk.at("12:00").say("took 6 units with lunch")
    assert fixed.ASK_A_CLINICIAN not in talk.at("12:00", 6).say("took 6 units with lunch")
    assert fixed.ASK_A_CLINICIAN in talk.at("12:00", 8).say("took 6 units with lunch")


def test_a_question_about_a_medicine_has_its_answer_each_time(talk: Talk) -> None:
    for _ in range(2):
        assert talk.say("should I take more insulin with pasta?") == fixed.ASK_A_CLINICIAN
    assert "you take" not in talk.say("/settings")


def test_what_got_worse_is_said_again(talk: Talk) -> None:
    assert KIND in talk.say("I was bad today")
    assert talk.say("I don't deserve dinner") == NOTHING_NOTED
    assert EATING in talk.say("I only eat 500 kcal a day")
    assert EATING in talk.say("took laxatives after the meal")
    assert talk.say("made myself sick again") == NOTHING_NOTED


def test_values_are_low_then_very_low_then_nothing_new(talk: Talk) -> None:
    talk.at("12:00")
    assert LOW.format(value="3.5 mmol/L", line="3.9 mmol/L") in talk.say("3.5 at 9:10")
    assert fixed.VERY_LOW.format(value="2.7 mmol/L") in talk.say("2.7 at 9:40")
    assert talk.say("2.6 at 9:50").count("\n") == 0
    assert fixed.VERY_HIGH.format(value="12.1 mmol/L") in talk.say("12.1 at 11:10")


def test_a_file_cautions_as_typed_values_do(talk: Talk) -> None:
    start = MORNING.replace(hour=1)
    talk.at("9:00")
    assert "below 70 mg/dL" not in talk.file(readings_csv(start, [5.0] * 60))
    low = talk.file(readings_csv(start.replace(hour=6, minute=1), [3.6] * 10))
    assert LOW.format(value="3.6 mmol/L", line="3.9 mmol/L") in low


def test_high_mornings_are_named_once_they_repeat(talk: Talk) -> None:
    said = []
    for day in range(5):
        start = MORNING.replace(hour=0) + timedelta(days=day)
        talk.at("8:30", day).say("slept 23:00 to 6:30")
        said.append(FASTING.format(line="7.0 mmol/L") in talk.file(readings_csv(start, [7.4] * 100)))
    assert said.count(True) == 1
    assert not said[0]


def test_blame_beside_a_meal_leaves_the_meal(talk: Talk) -> None:
    said = talk.at("15:30").say("I've been so bad, 200 g cheesecake at 15:00")
    assert KIND in said
    assert [item.name for one in talk.meals() for item in one.entry.items] == ["cheesecake"]
    assert [button.label for button in talk.heard[-1].buttons][-1] == "Hide scores"


@pytest.mark.parametrize("said", ["I was bad today", "haven't eaten since yesterday", "took laxatives"])
def test_such_words_change_nothing_that_was_noted(talk: Talk, said: str) -> None:
    talk.say("rye toast with butter at 6:30")
    talk.say(said)
    assert len(talk.meals()) == 1


def test_many_tiny_changes_in_a_day_bring_one_kind_sentence(talk: Talk) -> None:
    talk.say("200 g cooked rice at 6:30")
    said = [talk.say(f"no, {200 + k} g rice") for k in (3, 5, 2, 4, 6, 1, 7, 8)]
    assert [KIND in each for each in said].count(True) == 1
    assert KIND in said[5]


def scored(talk: Talk) -> None:
    talk.at("7:10").say("200 g cooked rice and a boiled egg")
    noon = datetime(2026, 3, 2, 5, 0, tzinfo=MORNING.tzinfo)
    talk.say("sensor on since 20 February")
    values = [5.0] * 26 + [5.0 + min(k, 12) / 6 for k in range(14)] + [6.0] * 30
    assert "evenness" in talk.at("11:00").file(readings_csv(noon, values))


def test_hidden_scores_are_in_no_answer_and_curves_stay(talk: Talk) -> None:
    scored(talk)
    assert "without scores" in talk.say("hide scores")
    answers = [
        talk.say(asked)
        for asked in [
            "how was breakfast?",
            "today",
            "show today",
            "everything with rice",
            "what does rice do to me?",
        ]
    ]
    assert not any("evenness" in said or "scored" in said for said in answers)
    assert "first bite" in answers[0]
    assert talk.heard[-5].picture is not None
    assert talk.say("best and worst this week") == SCORES_HIDDEN
    with talk.app.store.read() as tx:
        specs = [message.picture for message in talk.heard if message.picture is not None]
        assert specs
        assert tx.people.get("local") is not None
    for spec in specs:
        alt = talk.app.draw(spec, "local").alt
        assert "vennes" not in alt


def test_scores_come_back(talk: Talk) -> None:
    scored(talk)
    talk.say("/scores hide")
    assert "evenness" not in talk.say("how was breakfast?")
    assert "again" in talk.say("show scores")
    assert "evenness" in talk.say("how was breakfast?")
