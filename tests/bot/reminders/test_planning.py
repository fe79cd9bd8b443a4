from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from tests.talk import MORNING, Talk, readings_csv, talking

FLAT = [5.0] * 97
FAR_AHEAD = ("review", "last hours", "sensor over")
"""What always stands somewhere ahead, and has tests of its own."""


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        yield one


def due(talk: Talk) -> list[tuple[str, str]]:
    with talk.app.store.read() as tx:
        return [
            (f"{r.due_at.astimezone(MORNING.tzinfo):%d %H:%M}", r.kind)
            for r in tx.reminders.pending("local")
            if r.kind not in FAR_AHEAD
        ]


def sync(talk: Talk) -> None:
    """Send a file whose newest reading is from now."""
    now = talk.clock.now().astimezone(MORNING.tzinfo)
    talk.file(readings_csv(now - timedelta(hours=8), FLAT))


def test_nobody_is_reminded_who_wears_no_sensor(talk: Talk) -> None:
    talk.say("100 g white bread")
    assert due(talk) == []


def test_a_meal_is_checked_after_two_hours_and_the_sensor_read_in_time(talk: Talk) -> None:
    sync(talk)
    talk.at("08:00").say("100 g white bread")
    assert due(talk) == [("02 10:00", "check"), ("02 14:00", "sync")]
    assert talk.at("09:59").tick() == ""
    assert "Breakfast (white bread) was 2 h ago" in talk.at("10:00").tick()
    assert talk.tick() == ""
    said = talk.at("14:00").tick()
    assert "Please sync by 15:00" in said
    assert talk.press("Synced").startswith("Noted: synced at 14:00")
    assert due(talk) == [("02 21:00", "sync")]


def test_a_check_is_dropped_when_the_readings_are_there(talk: Talk) -> None:
    sync(talk)
    talk.at("08:00").say("100 g white bread")
    sync(talk.at("09:58"))
    assert due(talk) == [("02 16:58", "sync")]
    assert talk.at("10:00").tick() == ""


def test_a_check_moves_with_its_meal_and_goes_with_it(talk: Talk) -> None:
    sync(talk)
    talk.at("08:00").say("100 g white bread")
    talk.say("it was at 7:30")
    assert due(talk)[0] == ("02 09:30", "check")
    talk.say("undo")
    assert due(talk)[0] == ("02 10:00", "check")
    talk.say("delete the bread")
    assert due(talk) == [("02 14:00", "sync")]


def test_a_drink_is_not_checked(talk: Talk) -> None:
    sync(talk)
    talk.at("08:00").say("a glass of water")
    assert due(talk) == [("02 14:00", "sync")]


def test_what_falls_due_together_is_one_message(talk: Talk) -> None:
    sync(talk)
    talk.at("12:00").say("100 g white bread")
    before = len(talk.heard)
    said = talk.at("14:00").tick()
    assert "Please sync" in said
    assert "Lunch (white bread) was 2 h ago" in said
    assert len(talk.heard) == before + 1


def test_before_the_night_the_sync_is_asked_early_and_the_loss_is_computed(talk: Talk) -> None:
    talk.say("/quiet 22:00-07:00")
    sync(talk.at("18:00"))
    assert due(talk) == [("02 21:50", "sync")]
    said = talk.at("21:50").tick()
    # 18:00 + 8 h = 02:00; asleep until 07:00 that is five hours lost
    assert "before you sleep" in said
    # synced at 21:50 instead: until 07:00 that is 9 h 10 min, 70 more than it keeps
    assert "Then you lose about 70 min by 07:00; otherwise you lose 5 h." in said
    assert due(talk)[0] == ("03 07:00", "sync")


def test_nothing_is_said_in_quiet_hours_even_after_a_stop(talk: Talk) -> None:
    sync(talk)
    talk.at("12:00").say("100 g white bread")
    assert talk.at("23:30").tick() == ""
    assert ("03 06:30", "sync") in due(talk)
    said = talk.at("07:00", days=1).tick()
    assert said.count("Sync now") == 1


def test_late_after_a_stop_is_said_once_and_honestly(talk: Talk) -> None:
    sync(talk)
    talk.at("08:00").say("100 g white bread")
    said = talk.at("11:30").tick()
    assert said.startswith("Breakfast (white bread) was 3 h 30 min ago")
    assert "I meant to say this at 10:00, but I wasn't running." in said


def test_after_a_missed_sync_it_is_asked_again_and_what_lapsed_is_said(talk: Talk) -> None:
    talk.say("/quiet 23:00-05:00")
    sync(talk)
    talk.at("14:00").tick()
    said = talk.at("21:00").tick()
    assert "07:00 to 13:00 is lost" in said
    sync(talk.at("21:10"))
    assert "07:00 to 13:10 is lost: the sensor no longer had these 6 h 10 min" in talk.heard[-1].text


def test_a_sensor_taken_off_ends_it(talk: Talk) -> None:
    sync(talk)
    talk.at("08:00").say("100 g white bread")
    talk.at("08:10").say("sensor fell off")
    assert due(talk) == []
    talk.at("08:30").say("new sensor on")
    assert not [one for one in due(talk) if one[1] == "check"]  # neither sensor saw that meal whole


def test_after_three_days_of_silence_it_is_quiet(talk: Talk) -> None:
    sync(talk)
    spoken = 0
    for day in range(6):
        for hour in ("07:00", "10:00", "14:00", "18:00", "21:45"):
            if (day, hour) > (0, "07:00"):
                spoken += bool(talk.at(hour, days=day).tick())
    assert due(talk) == []
    assert 3 <= spoken <= 12


def test_reminders_survive_a_restart_and_come_once(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'a.db'}"
    with talking(url) as talk:
        sync(talk)
        talk.at("08:00").say("100 g white bread")
    with talking(url, start=MORNING.replace(hour=10)) as talk:
        assert "was 2 h ago" in talk.tick()
    with talking(url, start=MORNING.replace(hour=10, minute=1)) as talk:
        assert talk.tick() == ""


def test_a_channel_ticks_only_for_its_own_people() -> None:
    with talking() as local:
        sync(local)
        local.at("08:00").say("100 g white bread")
        other = Talk(local.app, local.clock, person="tg:5")
        local.app._serves = "tg:%"
        assert local.at("10:00").tick() == ""
        assert other.app.next_due_at() is None
        local.app._serves = "local"
        assert "was 2 h ago" in local.tick()


def test_after_a_long_stop_the_sync_is_asked_for_once(talk: Talk) -> None:
    """Each of the times missed meanwhile would otherwise be asked for in turn, one at every tick."""
    talk.at("08:00").say("synced")
    talk.at("10:00", days=2)
    said = []
    for _ in range(8):
        said.append(talk.tick())
        talk.clock.move_to(talk.clock.now() + timedelta(seconds=20))
    assert "is lost" in said[0]
    assert said[1:] == [""] * 7
    assert due(talk) == [("04 17:00", "sync")]


def test_a_meal_that_no_sensor_saw_is_not_checked() -> None:
    with talking() as talk:
        talk.at("7:15").say("2 eggs")
        talk.at("9:00").say("new sensor on just now")
        talk.at("9:20").say("60 g oats")
        with talk.app.store.read() as tx:
            checks = [r.entry_id for r in tx.reminders.pending("local") if r.kind == "check"]
        assert checks == [talk.meals()[-1].id]
