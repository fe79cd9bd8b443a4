"""Questions over days and comparisons in the talk: which picture, what is said, and what is not known yet."""

from collections.abc import Iterator
from datetime import datetime, timedelta

import pytest

from bot.model.messages import PictureSpec
from tests.talk import MORNING, VIENNA, Talk, readings_csv, talking

RISE = [5.0] * 6 + [5.4, 6.2, 7.1, 7.9, 8.2, 8.0, 7.6, 7.1, 6.7, 6.3, 6.0, 5.8, 5.6, 5.4, 5.3] + [5.2] * 19
FLAT = [5.0] * 40


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        yield one


def eat(talk: Talk, day: int, what: str, values: list[float], walk: bool = False) -> None:
    talk.at("07:30", days=day).say(f"{what} at 7:30")
    if walk:
        talk.at("08:15", days=day).say("walked 20 min at 7:50")
    talk.at("10:20", days=day).file(readings_csv(MORNING + timedelta(days=day), values))


def picture(talk: Talk) -> PictureSpec | None:
    return talk.heard[-1].picture


def local(day: int, hour: int = 0) -> datetime:
    return datetime(2026, 3, 2 + day, hour, tzinfo=VIENNA)


def test_a_day_is_said_with_its_meals_and_picture(talk: Talk) -> None:
    eat(talk, 1, "100 g white bread", RISE)
    said = talk.at("12:00", days=3).say("show Tuesday")
    assert said.startswith(
        "Tue 3 Mar: mean 5.7 mmol/L, lowest 5.0 mmol/L at 07:00, highest 8.2 mmol/L at 07:50."
    )
    assert "From 3.9 to 7.8 mmol/L: 92 % of the time and 8 % above." in said.replace(", 8", " and 8")
    assert "07:30 breakfast: white bread, evenness" in said
    assert said.splitlines()[-1].startswith("All that day: about 47 g carbohydrate")
    spec = picture(talk)
    assert spec == PictureSpec("day", "day-2026-03-03", since=local(1), until=local(2))


@pytest.mark.parametrize(
    "question",
    [
        "shwo tuesday",
        "draw Tuesday",
        "what did Tuesday look like?",
        "plot 3 March",
        "how was my day on Tuesday?",
    ],
)
def test_a_day_in_other_words(talk: Talk, question: str) -> None:
    eat(talk, 1, "100 g white bread", RISE)
    assert talk.at("12:00", days=3).say(question).startswith("Tue 3 Mar: mean")
    spec = picture(talk)
    assert spec is not None
    assert (spec.kind, spec.since) == ("day", local(1))


@pytest.mark.parametrize(
    ("question", "answered"),
    [
        ("average day", "over 1 day with readings"),
        ("weekdays vs weekends", "1 weekday and 0 days of weekends"),
        ("summary", "1 day with 40 readings"),
        ("how steady am I", "1 day with 40 readings"),
    ],
)
def test_older_readings_are_pointed_at_with_words_that_reach_them(
    talk: Talk, question: str, answered: str
) -> None:
    eat(talk, 1, "100 g white bread", RISE)
    said = talk.at("12:00", days=60).say(question)
    assert said.startswith("I can't tell yet: no readings of these days")
    assert "The newest I have is of Tue 3 Mar" in said
    since = said.partition("“")[2].partition("”")[0]
    assert since == "since 4 February"
    assert answered in talk.say(f"{question} {since}")
    assert "newest" not in talk.at("12:00", days=600).say(question)


def test_a_date_is_a_day_too(talk: Talk) -> None:
    eat(talk, 1, "100 g white bread", RISE)
    assert talk.at("12:00", days=3).say("show 3 March").startswith("Tue 3 Mar: mean")


def test_a_day_without_anything_has_no_picture(talk: Talk) -> None:
    said = talk.say("show yesterday")
    assert said == ("Sun 1 Mar: no readings of these days; please sync and send them.\nNo meal noted.")
    assert picture(talk) is None


def test_a_day_of_typed_readings_says_so(talk: Talk) -> None:
    talk.at("12:00").say("5.0 at 7:28")
    talk.say("7.1 at 8:00")
    said = talk.say("how was today")
    assert "2 typed readings, lowest 5.0 mmol/L at 07:28, highest 7.1 mmol/L at 08:00." in said


def test_one_reading_makes_no_day(talk: Talk) -> None:
    talk.at("12:00").say("5.6")
    assert "so far only around 12:00 (5.6 mmol/L)" in talk.say("average day")


def test_forty_meals_are_not_all_listed(talk: Talk) -> None:
    for minute in range(40):
        talk.at(f"08:{minute:02d}").note("an apple")
    said = talk.at("12:00").say("/day")
    assert said.count("apple") == 24
    assert said.splitlines()[-2] == "… and 16 more."


def test_several_days_are_summed_up(talk: Talk) -> None:
    for day in range(3):
        eat(talk, day, "100 g white bread", RISE)
    said = talk.at("12:00", days=2).say("show the last 3 days")
    assert "3 days with 120 readings" in said
    spec = picture(talk)
    assert spec is not None
    assert (spec.kind, spec.since) == ("average", local(0))


def test_the_average_day_looks_at_four_weeks_unless_a_span_is_named(talk: Talk) -> None:
    assert talk.say("average day") == (
        "I can't tell yet: no readings of these days; please sync and send them."
    )
    for day in range(5):
        eat(talk, day, "100 g white bread", RISE)
    said = talk.at("12:00", days=4).say("my average day")
    assert "over 5 days with readings (Mon 2 Mar to Fri 6 Mar)" in said
    assert "highest around 07:45 (8.0 mmol/L)" in said  # the mean of 7.9, 8.2 and 8.0
    assert "No hour stands out" in said
    assert "From 7 days on" in said
    spec = picture(talk)
    assert spec is not None
    assert spec.kind == "average"
    assert spec.since == talk.app.clock.now() - timedelta(days=28)
    assert "over 3 days" in talk.say("average day over the last 3 days")
    assert "over 5 days" in talk.say("/average")


def test_weekdays_against_weekends_need_both(talk: Talk) -> None:
    eat(talk, 0, "100 g white bread", RISE)
    said = talk.say("weekdays against weekends")
    assert "1 weekday and 0 days of weekends" in said
    assert picture(talk) is None
    eat(talk, 5, "100 g white bread", FLAT)
    said = talk.say("compare weekdays and weekends")
    assert "At no hour do they part by more than chance does." in said
    assert "takes 2 whole days of each" in said
    spec = picture(talk)
    assert spec is not None
    assert spec.kind == "two"


def test_whole_days_have_their_means_compared(talk: Talk) -> None:
    for day, value in ((0, 5.0), (1, 5.4), (5, 6.0), (6, 6.4)):
        start = MORNING + timedelta(days=day, hours=-7)
        talk.at("23:59", days=day).file(readings_csv(start, [value] * 288))
    said = talk.say("weekdays vs weekends")
    # 5.2 against 6.2, Welch with 2 degrees of freedom: 1 ± 2.92 · √(0.04 + 0.04)
    assert "Mean 5.2 on weekdays, 6.2 mmol/L at weekends, a difference of +1.0 (likely +0.2 to +1.8" in said
    assert "whole days only, 2 against 2): too early to judge" in said


def test_a_summary_says_what_it_stands_on_and_no_a1c(talk: Talk) -> None:
    eat(talk, 0, "100 g white bread", RISE)
    for question in ("summary", "how steady am I?", "/summary"):
        said = talk.say(question)
        assert "1 day with 40 readings" in said
        assert "averages count as reliable from 70 % on" in said
        assert "nothing here is a diagnosis" in said
        assert "A1c" not in said


def test_the_estimate_of_a1c_comes_only_when_asked_with_its_caveat(talk: Talk) -> None:
    eat(talk, 0, "100 g white bread", FLAT)
    said = talk.say("what's my A1c?")
    # 5.0 mmol/L are 90.1 mg/dL: 3.31 + 0.02392 · 90.1 = 5.46 and (90.1 + 46.7) / 28.7 = 4.77
    assert "5.5 % (GMI) and 4.8 % (ADAG)" in said
    assert "not a laboratory A1c" in said


def test_everything_is_in_the_persons_unit(talk: Talk) -> None:
    talk.say("/unit mg/dL")
    eat(talk, 0, "100 g white bread", RISE)
    eat(talk, 5, "100 g white bread", RISE)
    for question in ("show today", "average day", "summary"):
        said = talk.say(question)
        assert "mg/dL" in said, question
        assert "mmol" not in said, question
    assert "From 70 to 140 mg/dL" in talk.say("summary")


def test_fasting_waits_for_three_days_and_then_has_a_picture(talk: Talk) -> None:
    eat(talk, 0, "60 g oats", FLAT)
    said = talk.say("what's my fasting?")
    assert said.startswith("To tell your fasting level I need 3 days; I have 1 (so far 5.0 mmol/L).")
    assert picture(talk) is None
    for day in (1, 2):
        eat(talk, day, "60 g oats", FLAT)
    said = talk.say("what's my fasting?")
    assert said.startswith("Fasting: mean 5.0 mmol/L over 3 days (Mon 2 Mar to Wed 4 Mar), give or take 0.0")
    assert "For a trend I need 7 days; I have 3." in said
    spec = picture(talk)
    assert spec is not None
    assert spec.kind == "fasting"


def test_how_long_between_meals(talk: Talk) -> None:
    assert "I can't tell yet" in talk.say("how long between meals?")
    talk.at("07:30").say("60 g oats at 7:30")
    talk.at("13:30").say("60 g oats at 13:30")
    said = talk.say("how long between meals?")
    assert "there are usually 6 h" in said
    assert "no advice to eat less often" in said


def test_with_and_without_a_walk(talk: Talk) -> None:
    for day in range(4):
        eat(
            talk, day, "porridge with 60 g oats and 200 ml milk", FLAT if day % 2 else RISE, walk=day % 2 == 1
        )
    said = talk.say("compare porridge with and without a walk")
    with_walk, without, difference, verdict, *_ = said.splitlines()
    assert with_walk == "Porridge with a walk: 2 servings, evenness 100."
    assert without.startswith("Porridge without a walk: 2 servings, evenness")
    assert "points lower at like portions (likely " in difference
    assert verdict.startswith("Too early to judge: I look at six servings each")
    spec = picture(talk)
    assert spec is not None
    assert spec.kind == "compare"
    assert [(label, len(ids)) for label, ids in spec.groups] == [
        ("porridge with a walk", 2),
        ("porridge without a walk", 2),
    ]
    meals = {m.id: m.at.astimezone(VIENNA).day for m in talk.meals()}
    assert [meals[i] for i in spec.groups[0][1]] == [3, 5]


def test_six_of_each_that_differ_get_a_verdict(talk: Talk) -> None:
    for day in range(12):
        eat(talk, day, "60 g oats" if day % 2 else "80 g white toast", FLAT if day % 2 else RISE)
    said = talk.say("compare toast and oats")
    assert "The foods alone, the rest counted out: On like plates your usual toast adds" in said
    assert "Oats is the more even: more than chance does." in said
    assert "Oats on 3 Mar, 5 Mar, 7 Mar" in said
    assert "Other things may have differed" in said


def test_compared_with_slips_and_with_one_side_only(talk: Talk) -> None:
    for day in range(4):
        eat(
            talk, day, "porridge with 60 g oats and 200 ml milk", FLAT if day % 2 else RISE, walk=day % 2 == 1
        )
    for question in ("compare poridge with and without a walk", "compare porridge with a walk"):
        with_walk, without, difference, *_ = talk.say(question).splitlines()
        assert with_walk.startswith("Porridge with a walk: 2 servings")
        assert without.startswith("Porridge without a walk: 2 servings")
        assert difference.startswith("Porridge without a walk scores")
    assert talk.say("compare rice").startswith("Compare it with what?")
    assert picture(talk) is None


def test_too_few_to_compare_is_said_with_their_number(talk: Talk) -> None:
    eat(talk, 0, "60 g oats", FLAT)
    eat(talk, 1, "60 g oats", FLAT)
    eat(talk, 2, "80 g white toast", RISE[:12])
    said = talk.say("compare oats and toast")
    assert said == (
        "To compare them I need 2 servings of each with a whole curve. "
        "So far, oats: 2; toast: 0 (1 more without enough readings)."
    )
    assert picture(talk) is None
    assert "I find no meals noted as “sushi” or “ramen”" in talk.say("compare sushi and ramen")


def test_a_thing_is_not_compared_with_itself(talk: Talk) -> None:
    assert talk.say("compare rice and rice").startswith("Compare it with what?")


def test_what_is_on_both_sides_is_on_neither(talk: Talk) -> None:
    for day in range(4):
        eat(talk, day, "60 g oats" if day < 2 else "80 g white toast", FLAT)
    eat(talk, 4, "60 g oats and 80 g white toast", RISE)
    said = talk.say("compare oats and toast")
    assert "Oats: 2 servings," in said
    assert "Toast: 2 servings," in said


def test_different_meals_of_one_side_are_told(talk: Talk) -> None:
    for day, plate in enumerate(
        ("60 g oats", "60 g oats and a banana", "80 g white toast", "80 g white toast")
    ):
        eat(talk, day, plate, FLAT)
    assert "Oats: 2 servings of 2 different meals, evenness 100" in talk.say("compare oats and toast")


def test_trials_are_not_taken_for_comparisons(talk: Talk) -> None:
    assert "A test: rice with and without vinegar" in talk.say("start a trial: rice with and without vinegar")


def test_a_meal_is_found_by_the_word_it_was_noted_with(talk: Talk) -> None:
    eat(talk, 0, "porridge with 60 g oats and 200 ml milk", RISE)
    assert "evenness" in talk.say("how was the porridge?")
