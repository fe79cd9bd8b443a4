"""Who syncs by themselves is asked only shortly before readings would lapse."""

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta

import pytest

from bot.reminders.habits import Habit, hold
from bot.reminders.rules import Quiet
from bot.store import Switch
from tests.talk import MORNING, VIENNA, Talk, readings_csv, talking

NIGHT = Quiet(time(23), time(6, 30))


def at(day: int, clock: str) -> datetime:
    return datetime.fromisoformat(f"2026-03-{day:02d} {clock}").replace(tzinfo=VIENNA)


def habit(*synced: datetime, asked: tuple[datetime, ...] = (), begun: tuple[Switch, ...] = ()) -> Habit:
    return Habit(synced, asked, begun, VIENNA)


NOONS = tuple(at(day, "11:50") for day in (2, 3, 4))


def test_three_of_the_latest_four_days_are_a_habit() -> None:
    assert habit(*NOONS).syncs(at(5, "11:00"), at(5, "12:00"))
    assert habit(*NOONS).syncs(at(6, "11:00"), at(6, "12:00"))
    assert not habit(*NOONS).syncs(at(7, "11:00"), at(7, "12:00"))
    assert not habit(*NOONS[:2]).syncs(at(4, "11:00"), at(4, "12:00"))
    assert not habit(*NOONS).syncs(at(5, "14:00"), at(5, "15:00"))


def test_what_answered_an_ask_is_no_own_sync() -> None:
    asked = tuple(at(day, "11:30") for day in (2, 3, 4))
    assert habit(*NOONS, asked=asked).syncs(at(5, "11:00"), at(5, "12:00"))
    assert not habit(*NOONS, asked=asked).syncs_unasked(at(5, "11:00"), at(5, "12:00"))
    earlier = tuple(at(day, "11:00") for day in (2, 3, 4))
    assert habit(*NOONS, asked=earlier).syncs_unasked(at(5, "11:00"), at(5, "12:00"))


def test_days_of_another_shift_tell_nothing() -> None:
    begun = (Switch(date(2026, 3, 1), "early"), Switch(date(2026, 3, 5), "late"))
    assert not habit(*NOONS, begun=begun).syncs(at(5, "11:00"), at(5, "12:00"))
    back = (*begun, Switch(date(2026, 3, 20), "early"))
    assert habit(*NOONS, begun=back).syncs(at(20, "11:00"), at(20, "12:00"))


def test_a_sync_after_midnight_belongs_to_the_day_before() -> None:
    begun = (Switch(date(2026, 3, 1), "late"), Switch(date(2026, 3, 6), "off"))
    nights = tuple(at(day, "00:20") for day in (3, 4, 5))
    assert habit(*nights, begun=begun).syncs(at(6, "00:00"), at(6, "00:30"))


def test_an_ask_waits_until_ten_minutes_before_readings_lapse_but_not_into_the_night() -> None:
    assert hold(at(2, "14:00"), at(2, "15:00"), NIGHT, VIENNA) == at(2, "14:50")
    assert hold(at(2, "06:30"), at(2, "05:00"), NIGHT, VIENNA) == at(2, "06:45")
    assert hold(at(2, "22:50"), at(2, "23:30"), NIGHT, VIENNA) == at(2, "22:50")


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking(talk="short") as one:
        yield one


def sync(talk: Talk, clock: str, day: int) -> None:
    now = talk.at(clock, day).clock.now().astimezone(MORNING.tzinfo)
    talk.file(readings_csv(now - timedelta(hours=8), [5.0] * 97))


def due(talk: Talk) -> list[tuple[str, str]]:
    with talk.app.store.read() as tx:
        pending = [r for r in tx.reminders.pending("local") if r.kind in ("sync", "check")]
    return [(f"{r.due_at.astimezone(MORNING.tzinfo):%d %H:%M}", r.kind) for r in pending]


def test_after_three_days_the_ask_comes_late_and_the_curve_is_not_asked_for(talk: Talk) -> None:
    for day in range(3):
        sync(talk, "07:00", day)
        talk.at("08:00", day).say("100 g white bread")
        kinds = [kind for _, kind in due(talk)]
        assert kinds == ["check", "sync"]
        sync(talk, "14:20", day)
        sync(talk, "22:00", day)
    sync(talk, "07:00", 3)
    talk.at("08:00", 3).say("100 g white bread")
    assert due(talk) == [("05 14:50", "sync")]
    talk.say("tell me everything")
    assert due(talk) == [("05 10:00", "check"), ("05 14:00", "sync")]


def test_one_curve_a_day_is_asked_for(talk: Talk) -> None:
    sync(talk, "07:00", 0)
    talk.at("08:00").say("100 g white bread")
    assert talk.at("10:00").tick() != ""
    talk.at("10:30").say("100 g rye bread")
    assert due(talk) == [("02 14:00", "sync")]


def test_a_check_within_the_hour_before_the_sync_comes_with_it(talk: Talk) -> None:
    sync(talk, "07:00", 0)
    talk.at("11:30").say("100 g white bread")
    assert sorted(due(talk)) == [("02 14:00", "check"), ("02 14:00", "sync")]


@pytest.mark.parametrize("said", ["say less", "Be brief please.", "shorter answers", "fewer words"])
def test_less_is_said_when_asked_for(talk: Talk, said: str) -> None:
    talk.say("/talk full")
    assert "Say less" in talk.say("/talk")
    talk.say(said)
    assert "in short" in talk.say("/talk")
