"""`tablenote analyse`: the promised keys, small cases by hand, days of other lengths, and what is refused."""

import json
import math
from collections.abc import Iterator
from dataclasses import fields
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from analysis.results import Curve
from bot.app import App
from bot.channels.script import play, read_script
from bot.commandline.analyse import analyse, set_apart
from bot.commandline.kinds import WHAT, What
from bot.commandline.main import What as WhatAtTheEdge
from bot.commandline.play import demo_scripts
from bot.model.clock import SettableClock
from bot.model.errors import BadSetting
from bot.model.messages import PictureSpec
from tests.talk import MORNING, VIENNA, Talk, readings_csv, talking

HILL = [5.0] * 6 + [5.4, 6.2, 7.1, 7.9, 8.2, 8.0, 7.6, 7.1, 6.7, 6.3, 6.0, 5.8, 5.6, 5.4, 5.3] + [5.2] * 19
SLOTS = {"breakfast", "lunch", "dinner", "snack", "drink"}


def read(app: App, what: What, since: str | None = None, until: str | None = None, who: str = "local") -> Any:
    return json.loads(analyse(app, who, what, since, until, as_json=True, out=None))


def words(app: App, what: What, since: str | None = None, until: str | None = None) -> str:
    return analyse(app, "local", what, since, until, as_json=False, out=None)


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        yield one


@pytest.fixture(scope="module")
def week() -> Iterator[App]:
    """The week of the demo, with curves, gaps, walks and a correction."""
    script = read_script(next(p for p in demo_scripts() if p.name.startswith("2_")))
    clock = SettableClock(script.start)
    app = App("sqlite://", zone=script.zone.key, clock=clock)
    try:
        play(script, app, clock, "local", lambda _: None)
        yield app
    finally:
        app.close()


def numbers_in(value: object) -> Iterator[float]:
    if isinstance(value, dict):
        for part in value.values():
            yield from numbers_in(part)
    elif isinstance(value, list):
        for part in value:
            yield from numbers_in(part)
    elif isinstance(value, float):
        yield value


def test_the_choices_are_those_of_the_command_line() -> None:
    assert WhatAtTheEdge == What


@pytest.mark.parametrize("what", WHAT)
def test_nothing_yet_is_empty(talk: Talk, what: What) -> None:
    empty: object = {} if what in ("ranking", "fasting", "eating", "good-days", "intakes") else []
    assert read(talk.app, what) == empty  # nobody is known
    assert "Nothing is noted" in words(talk.app, what)
    talk.say("/unit mmol/L")
    assert read(talk.app, what) == empty  # somebody is, without a note
    assert words(talk.app, what)
    assert analyse(talk.app, "local", what, "2026-03-01", "2026-03-02", as_json=True, out=None)


def test_ranking_has_the_promised_keys(week: App) -> None:
    found = read(week, "ranking")
    assert set(found) == {"meals", "best", "worst", "told_apart", "probability", "left_out"}
    assert {key for meal in found["meals"] for key in meal} == {"name", "servings", "score", "low", "high"}
    scores = [meal["score"] for meal in found["meals"]]
    assert scores == sorted(scores, reverse=True)
    assert all(meal["low"] <= meal["score"] <= meal["high"] for meal in found["meals"])
    assert (found["best"], found["worst"]) == (found["meals"][0]["name"], found["meals"][-1]["name"])
    assert found["told_apart"] == (found["probability"] >= 0.95)


def test_meals_have_the_promised_keys(week: App) -> None:
    meals = read(week, "meals")
    assert len(meals) == 19
    for meal in meals:
        assert set(meal) == {
            "id",
            "occasion",
            "at",
            "slot",
            "items",
            "nutrients",
            "habits",
            "evenness",
            "why_not",
            "curve",
            "expected",
        }
        assert datetime.fromisoformat(meal["at"]).utcoffset() == timedelta(hours=1)
        assert meal["slot"] in SLOTS
        assert all(item["grams"] > 0 and item["food"] for item in meal["items"])
        assert meal["nutrients"]["carbs_g"] == pytest.approx(sum(i["carbs_g"] or 0 for i in meal["items"]))
        assert set(meal["habits"]) == {"moved_before", "moved_after", "eaten_in_order", "extras"}
        assert (meal["evenness"] is None) == (meal["curve"] is None) == (meal["why_not"] is not None)
        if meal["curve"] is not None:
            assert set(meal["curve"]) == {f.name for f in fields(Curve)}
            lost = meal["evenness"]["lost"]
            assert list(lost) == ["rise", "area", "high", "dip"]
            assert meal["evenness"]["score"] == pytest.approx(100 - sum(lost.values()))
            assert meal["evenness"]["low"] <= meal["evenness"]["score"] <= meal["evenness"]["high"]
    assert [m["at"] for m in meals] == sorted(m["at"] for m in meals)
    assert sum(m["evenness"] is None for m in meals) == 2
    expected = [m["expected"] for m in meals]
    assert all(set(e) == {"area", "low", "high", "level", "from"} for e in expected)
    assert all(e["low"] < e["area"] < e["high"] and e["level"] == 0.9 for e in expected)
    read_before = [sum(m["curve"] is not None for m in meals[:k]) for k in range(len(meals))]
    assert [e["from"] for e in expected] == read_before
    until = read(week, "meals", None, meals[9]["at"])  # what came later was not used
    assert [m["expected"]["area"] for m in until] == pytest.approx(
        [e["area"] for e in expected[: len(until)]]
    )
    since = read(week, "meals", meals[9]["at"])  # what came earlier was
    assert [m["expected"]["from"] for m in since] == read_before[9:]
    walked = [m["at"][:10] for m in meals if m["habits"]["moved_after"]]
    assert walked == ["2026-03-10", "2026-03-13"]


def test_a_meal_by_hand(talk: Talk) -> None:
    """Flat at 5.0, up by 2 after half an hour, flat again from the first hour on: a triangle of 60."""
    talk.at("07:30").say("100 g white bread and 1 tbsp vinegar at 7:30")
    talk.at("07:31").say("black coffee at 7:31")
    talk.at("08:15").say("walked 20 min at 7:50")
    rise = [5.0, 5.0, 5.0, 6.0, 7.0, 6.0, 5.0] + [5.0] * 8
    talk.at("10:15").file(readings_csv(MORNING, rise, step_min=15))
    bread, coffee = read(talk.app, "meals")
    curve = bread["curve"]
    assert (curve["baseline_mmol"], curve["rise_mmol"], curve["minutes_to_peak"]) == (5.0, 2.0, 30.0)
    assert curve["area_2h"] == pytest.approx(60.0)
    assert bread["evenness"]["score"] == pytest.approx(100 - 12 - 10)
    assert bread["habits"]["moved_after"] == [
        {"what": "walk", "minutes": 20, "effort": "light", "start_min": 20}
    ]
    assert [extra["name"] for extra in bread["habits"]["extras"]] == ["vinegar"]
    assert (coffee["evenness"], coffee["why_not"]) == (None, "a drink with hardly any carbohydrate")
    assert bread["why_not"] is None
    assert (bread["expected"]["from"], coffee["expected"]) == (0, None)
    assert read(talk.app, "meals", "2026-03-03") == []
    assert len(read(talk.app, "meals", "2026-03-02", "2026-03-02")) == 2
    assert len(read(talk.app, "meals", "2026-03-02T07:31")) == 1


def test_the_day_by_hand(talk: Talk) -> None:
    """Monday 5.0, Tuesday 6.0, Saturday 9.0 at 7:00 and 7:05: the median is 6.0."""
    for days, value in ((0, 5.0), (1, 6.0), (5, 9.0)):
        day = MORNING + timedelta(days=days)
        talk.at("08:00", days=days).file(readings_csv(day, [value, value]))
    (at_seven,) = read(talk.app, "day")
    assert set(at_seven) == {"clock", "median", "p25", "p75", "p10", "p90", "n", "days", "split"}
    assert (at_seven["clock"], at_seven["median"], at_seven["n"], at_seven["days"]) == ("07:00", 6.0, 6, 3)
    assert at_seven["p25"] is None
    assert at_seven["split"]["weekday"]["median"] == 5.5
    assert at_seven["split"]["weekend"]["median"] == 9.0


def test_fasting_and_eating_by_hand(talk: Talk) -> None:
    """First meals at 7:30 with 5.0, 5.2 and 5.4 before them, a second meal at 12:30 and a third at 18:30."""
    for days, value in enumerate((5.0, 5.2, 5.4)):
        day = MORNING + timedelta(days=days)
        for clock in ("7:30", "12:30", "18:30"):
            talk.at(f"{int(clock.split(':')[0]):02d}:{clock[-2:]}", days=days).say(f"60 g oats at {clock}")
        talk.at("19:00", days=days).file(readings_csv(day, [value] * 24))
        fasting = read(talk.app, "fasting")
        assert set(fasting) == {"days", "mean_mmol", "per_sensor", "trend_per_week", "note"}
        if days == 1:
            assert (fasting["days"], fasting["per_sensor"]) == (2, [])
            assert fasting["mean_mmol"] == pytest.approx(5.1)
    assert fasting["days"] == 3
    assert fasting["mean_mmol"] == pytest.approx(5.2)
    (sensor,) = fasting["per_sensor"]
    assert (sensor["days"], sensor["mean"]) == (3, pytest.approx(5.2, abs=0.05))
    assert sensor["low"] < 5.2 < sensor["high"]
    assert fasting["trend_per_week"] is None
    assert "For a trend I need 7 days; I have 3" in words(talk.app, "fasting")
    eating = read(talk.app, "eating")["days"]
    assert [day["day"] for day in eating] == ["2026-03-02", "2026-03-03", "2026-03-04"]
    assert eating[1] == {
        "day": "2026-03-03",
        "occasions": 3,
        "first": "2026-03-03T07:30:00+01:00",
        "last": "2026-03-03T18:30:00+01:00",
        "window_h": 11.0,
        "longest_gap_h": 13.0,
    }
    assert "there are usually 5 h 30 min" in words(talk.app, "eating")
    assert len(read(talk.app, "eating", "2026-03-03", "2026-03-03")["days"]) == 1


def test_fasting_of_a_week_has_a_trend(week: App) -> None:
    trend = read(week, "fasting")["trend_per_week"]
    assert set(trend) == {"estimate", "low", "high", "level"}
    assert trend["low"] <= trend["estimate"] <= trend["high"]


def test_a_span_that_begins_in_the_fast_of_a_night_knows_what_was_eaten_before_it(talk: Talk) -> None:
    talk.at("23:00").say("60 g oats at 23:00")
    talk.at("06:00", days=1).say("60 g oats at 6:00")
    talk.at("08:00", days=1).file(readings_csv(MORNING + timedelta(hours=22), [5.0] * 24))
    assert read(talk.app, "fasting", "2026-03-03") == {}


def test_wear_by_hand(talk: Talk) -> None:
    """Worn from 7:00 to 17:00; two hours to warm up; read at 15:00 and at 17:00: 8 of 10 hours."""
    talk.say("new sensor on, left arm")
    talk.at("15:00").file(readings_csv(MORNING + timedelta(hours=2), [5.0] * 72))
    talk.at("17:00").file(readings_csv(MORNING + timedelta(hours=8), [5.0] * 24))
    for clock, value in (("11:00", 5.4), ("14:15", 5.6), ("16:30", 5.5)):
        talk.say(f"finger-prick {value} at {clock}")
    talk.say("sensor off")
    (sensor,) = read(talk.app, "wear")
    assert set(sensor) == {"id", "from", "to", "days", "coverage", "gaps", "first_day", "offset_mmol"}
    assert sensor["days"] == pytest.approx(10 / 24)
    assert sensor["coverage"] == pytest.approx(0.8)
    assert sensor["gaps"] == [
        {
            "from": "2026-03-02T07:00:00+01:00",
            "to": "2026-03-02T09:00:00+01:00",
            "minutes": 120.0,
            "reason": "warm-up",
        }
    ]
    assert sensor["first_day"] == {"until": "2026-03-03T07:00:00+01:00", "readings": 96}
    assert sensor["offset_mmol"] == pytest.approx(-0.5)
    assert "80 % read" in words(talk.app, "wear")


def test_a_sensor_of_which_nothing_was_said_ends_with_its_readings(talk: Talk) -> None:
    talk.at("15:00").file(readings_csv(MORNING, [5.0] * 96))
    (now_on,) = read(talk.app, "wear")
    assert (now_on["id"], now_on["to"]) == (None, None)
    talk.at("07:00", days=30)
    (sensor,) = read(talk.app, "wear")
    assert sensor["to"] == "2026-03-02T14:55:00+01:00"
    assert sensor["coverage"] == 1.0
    assert sensor["offset_mmol"] is None


@pytest.mark.parametrize(("day", "hours"), [("2026-03-29", 23), ("2026-10-25", 25)])
def test_a_day_on_which_the_clocks_change(day: str, hours: int) -> None:
    midnight = datetime.fromisoformat(day).replace(tzinfo=VIENNA)
    with talking(start=midnight + timedelta(days=2)) as talk:
        start = midnight.astimezone(VIENNA)
        rows = ["time,glucose mmol/L"]
        for step in range(hours * 12):
            at = datetime.fromtimestamp(start.timestamp() + 300 * step, tz=VIENNA)
            rows.append(f"{at.isoformat()},{5 + step / 1000:.3f}")
        talk.file("\n".join(rows))
        bins = read(talk.app, "day", day, day)
        assert sum(b["n"] for b in bins) == hours * 12
        clocks = [b["clock"] for b in bins]
        assert len(clocks) == (92 if hours == 23 else 96)
        assert ("02:15" in clocks) == (hours == 25)
        assert {b["n"] for b in bins if b["clock"].startswith("02")} <= {6}
        said = words(talk.app, "day", day, day)
        assert "Readings cover 100 %" in said
        assert f"highest {5 + (hours * 12 - 1) / 1000:.1f} mmol/L at 23:55" in said


def test_all_numbers_are_numbers(week: App) -> None:
    for what in WHAT:
        assert all(math.isfinite(n) for n in numbers_in(read(week, what))), what


@pytest.mark.parametrize(
    ("since", "until", "said"),
    [
        ("soon", None, "--since: write a day"),
        (None, "2026-02-30", "--until: write a day"),
        ("2026-03-05", "2026-03-04", "before --until"),
        (None, "9999-12-31", "out of reach"),
    ],
)
def test_days_that_are_none_are_refused(talk: Talk, since: str | None, until: str | None, said: str) -> None:
    with pytest.raises(BadSetting, match=said):
        analyse(talk.app, "local", "meals", since, until, as_json=True, out=None)


def test_words_list_the_meals_and_the_best(week: App) -> None:
    said = words(week, "meals")
    assert "Mon 9 Mar 04:20 breakfast: oats, milk and banana, evenness" in said
    assert "Most even: " in said
    assert "no score: " in said
    assert "Weekdays against weekends: 5 weekdays" in words(week, "day")
    assert words(week, "day", "2026-03-10", "2026-03-10").startswith("Tue 10 Mar: mean ")


def test_pictures_go_into_a_folder(week: App, tmp_path: Path) -> None:
    said = analyse(week, "local", "meals", "2026-03-09", "2026-03-09", as_json=False, out=tmp_path)
    names = {file.name for file in tmp_path.glob("*.png")}
    assert names == {
        "meals.png",
        "2026-03-09-0420-breakfast.png",
        "2026-03-09-1310-lunch.png",
        "2026-03-09-1800-dinner.png",
    }
    assert said.endswith(f"4 pictures in {tmp_path}.")
    assert all(file.with_suffix(".txt").read_text() for file in tmp_path.glob("*.png"))
    said = analyse(week, "local", "eating", "2020-01-01", "2020-01-02", as_json=False, out=tmp_path)
    assert said.endswith("There is no picture of that.")


def test_every_analysis_has_its_picture(week: App, tmp_path: Path) -> None:
    for what, name in (("eating", "eating-to"), ("wear", "run-to"), ("day", "average-day-to")):
        analyse(week, "local", what, None, None, as_json=False, out=tmp_path / what)  # type: ignore[arg-type]
        names = [file.name for file in (tmp_path / what).glob("*.png")]
        assert any(one.startswith(name) for one in names), names
    assert any(one.startswith("from-waking") for one in names)


def test_no_picture_overwrites_another() -> None:
    specs = [PictureSpec("curve", name, entry_id=k) for k, name in enumerate(("a", "b", "a", "A", "a-2"))]
    assert [spec.name for spec in set_apart(specs)] == ["a", "b", "a-2", "A-3", "a-2-2"]


def test_that_not_all_curves_are_drawn_is_said(week: App, monkeypatch: pytest.MonkeyPatch) -> None:
    assert "only the newest" not in words(week, "meals")
    monkeypatch.setattr("bot.commandline.analyse.MOST_CURVES", 3)
    assert "curves only the newest 3 are drawn" in words(week, "meals")


def test_a_trial_has_the_promised_keys(talk):
    assert read(talk.app, "trials") == []
    talk.say("porridge with 60 g oats, 200 ml milk and a banana at 7:00")
    assert "No test was agreed" in words(talk.app, "trials")
    talk.say("test porridge with and without a walk")
    assert read(talk.app, "trials") == [], "a proposal is no trial"
    talk.press("Agree")
    (trial,) = read(talk.app, "trials")
    promised = {"name", "question", "arms", "difference", "probability", "verdict", "repeats_needed"}
    assert promised <= trial.keys()
    assert [(arm["name"], arm["n"]) for arm in trial["arms"]] == [
        ("porridge without a walk", 0),
        ("porridge with a walk", 0),
    ]
    assert (trial["verdict"], trial["difference"]) == ("no telling yet", None)
    assert 6 <= trial["repeats_needed"] == trial["pairs_agreed"] <= 14
    assert "0 of 1" in words(talk.app, "trials")
    printed = analyse(talk.app, "local", "trials", None, None, as_json=False, out=None, protocol=True)
    assert printed.startswith("N-of-1 trial")
    with pytest.raises(BadSetting, match="--protocol goes with"):
        analyse(talk.app, "local", "meals", None, None, as_json=False, out=None, protocol=True)
    talk.say("stop the test")
    assert read(talk.app, "trials")[0]["state"] == "stopped"
