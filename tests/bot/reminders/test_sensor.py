from collections.abc import Iterator
from datetime import timedelta

import pytest

from bot.model.entries import Sensor
from bot.reply.words import place_of
from tests.bot.reminders.test_planning import due, sync
from tests.talk import MORNING, Talk, readings_csv, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        yield one


@pytest.mark.parametrize(
    ("said", "place"),
    [
        ("new sensor on left arm", "left arm"),
        ("sensor on, right upper arm", "right upper arm"),
        ("sensor on", ""),
        ("put the sensor on my belly", "belly"),
    ],
)
def test_the_place_is_kept_in_words(said: str, place: str) -> None:
    assert place_of(Sensor("started", None, said=said)) == place


def test_a_new_sensor_is_welcomed_with_advice_and_its_end(talk: Talk) -> None:
    said = talk.say("new sensor on left arm")
    assert "let the skin dry" in said
    assert "Common practice" in said
    assert "ends about Mon 16 Mar" in said
    assert "on your left arm" in talk.say("/sensor")
    for day in range(1, 5):
        said = talk.at("08:00", days=day).say("new sensor on")
    assert "let the skin dry" not in said  # known by now


def test_the_end_is_said_the_day_before(talk: Talk) -> None:
    talk.say("/sensor 2 days")
    talk.at("08:00").say("new sensor on")
    sync(talk.at("20:00"))
    assert ("03 08:00", "sensor end") in due(talk)
    said = talk.at("08:00", days=1).tick()
    assert "Your sensor ends tomorrow at 08:00" in said
    sync(talk)
    assert all(kind != "sensor end" for _, kind in due(talk))


def test_coverage_and_gaps_are_told_with_their_reasons(talk: Talk) -> None:
    talk.say("sensor on, left arm")
    # worn from 07:00; two hours to warm up; read out at 13:00, and at 23:00, when two hours had lapsed
    talk.at("13:00").file(readings_csv(MORNING + timedelta(hours=2), [5.0] * 49))
    talk.at("23:00").file(readings_csv(MORNING + timedelta(hours=8), [5.0] * 97))
    said = talk.say("/sensor")
    # of 16 hours: 09:00 to 13:05 and 15:00 to 23:00
    assert "Readings cover 76 % of the time since 07:00" in said
    assert "2 h warming up" in said
    assert "115 min synced too late" in said
    assert "sync by" in said


def test_no_sensor_is_a_reason_too(talk: Talk) -> None:
    talk.file(readings_csv(MORNING - timedelta(hours=8), [5.0] * 97))
    talk.say("sensor fell off")
    said = talk.at("17:00").say("/sensor")
    assert "No sensor is on" in said
    assert "10 h no sensor on" in said


def test_curves_of_the_first_day_and_night_dips_are_flagged(talk: Talk) -> None:
    talk.say("sensor on")
    talk.at("10:00").say("100 g white bread")
    rise = [5.0] * 12 + [5 + 2 * (1 - abs(i - 12) / 12) for i in range(25)] + [5.0] * 10
    talk.at("12:50").file(readings_csv(MORNING + timedelta(hours=2), rise))
    assert any("as rough" in m.text and "the sensor's first day" in m.text for m in talk.heard)


def test_the_offset_from_finger_pricks_is_told_with_its_interval(talk: Talk) -> None:
    talk.at("23:59").file(readings_csv(MORNING, [5.3] * 204))
    for hour, value in ((8, 5.0), (12, 4.9)):
        talk.say(f"finger-prick {value} at {hour}:02")
    talk.say("5.3 at 18:02")
    assert "Against" not in talk.say("/sensor"), "a value read off the sensor checks nothing"
    talk.say("finger prick 5.1 at 18:02")
    assert "Against 3 finger-pricks it reads 0.3 mmol/L higher (likely +0.1 to +0.5)" in talk.say("/sensor")


def test_bedtime_and_waking_say_what_a_sync_saves(talk: Talk) -> None:
    talk.say("/quiet 22:00-07:30")
    sync(talk.at("18:00"))
    # 18:00 + 8 h = 02:00; from 22:45 it would be 06:45
    said = talk.at("22:45").say("going to bed")
    assert "by 07:30 you lose about 45 min; otherwise you lose 5 h 30 min" in said
    assert "disappearing" in talk.at("07:30", days=1).say("just woke up")


def test_a_sync_just_before_quiet_hours_says_what_the_night_will_cost(talk: Talk) -> None:
    talk.say("/quiet 23:00-07:30")
    assert "you lose about 60 min by 07:30" in talk.at("22:30").say("synced")
    assert "If you sleep" not in talk.at("12:00", days=1).say("synced")


def test_holes_within_a_file_are_said(talk: Talk) -> None:
    rows = readings_csv(MORNING - timedelta(hours=8), [5.0] * 97).splitlines()
    said = talk.file("\n".join(rows[:20] + rows[32:]))
    assert "but for" in said
    assert "65 min" in said


HUMP = [5.0] * 12 + [5 + 3 * (1 - abs(i - 9) / 9) for i in range(19)] + [5.0] * 66


def test_a_rise_that_no_meal_explains_is_asked_about_once(talk: Talk) -> None:
    said = talk.at("15:00").file(readings_csv(MORNING, HUMP))
    assert "Something around 08:05? A rise of 3.0 mmol/L that" in said
    assert "Something" not in talk.file(readings_csv(MORNING, [*HUMP, 5.0]))
    assert "What was it?" in talk.press("It was food")
    assert "08:05: banana" in talk.at("15:02").say("a banana")
    assert talk.meals()[0].at == MORNING.replace(hour=8, minute=5)


def test_a_rise_that_a_meal_explains_is_not_asked_about(talk: Talk) -> None:
    talk.at("07:55").say("100 g white bread")
    assert "Something" not in talk.at("15:00").file(readings_csv(MORNING, HUMP))


def test_not_at_night_and_twice_a_day_at_most(talk: Talk) -> None:
    talk.say("/quiet 14:00-16:00")
    assert "Something" not in talk.at("15:00").file(readings_csv(MORNING, HUMP))
    humps = (HUMP[:40] * 4)[:160]
    said = [talk.at("21:00").file(readings_csv(MORNING, humps + [5.0] * n)) for n in range(4)]
    assert [("Something" in words) for words in said] == [True, True, False, False]
    assert "I won't ask about that one again" in talk.press("No food")


@pytest.mark.parametrize(
    ("said", "place", "at"),
    [
        ("sensor on, left arm, yesterday 20:00", "left arm", "yesterday 20:00"),
        ("put on a new sensor on my right thigh", "right thigh", "at 07:00"),
        ("put a new sensor on yesterday at 20:00, on my left upper arm", "left upper arm", "yesterday 20:00"),
    ],
)
def test_the_place_may_stand_behind_a_comma_and_the_time_behind_the_place(
    said: str, place: str, at: str
) -> None:
    with talking() as talk:
        reply = talk.say(said)
        assert reply.startswith(f"Noted: sensor on your {place} {at}.")
        assert "didn't understand" not in reply
        assert f"on your {place} since" in talk.say("/sensor")


def test_a_new_sensor_keeps_nothing_from_before_it_was_put_on(talk: Talk) -> None:
    talk.file(readings_csv(MORNING - timedelta(hours=8), [5.0] * 97))
    talk.at("11:00").say("sensor fell off at 10:30")
    talk.say("new sensor on, left arm")
    assert ("02 18:00", "sync") in due(talk)  # 11:00 + 8 h, an hour before
    said = talk.say("/sensor")
    assert "Not synced yet: please sync by 19:00" in said
    assert "3 h 25 min not synced yet" in said  # of the old one, 07:05 to 10:30
    assert "the sensor keeps 8 h, and it was put on at 11:00" in talk.at("18:00").tick()
    # two hours to warm up
    said = talk.at("18:10").file(readings_csv(MORNING + timedelta(hours=6), [5.0] * 62))
    assert "no longer had" not in said
    assert "Last sync" in talk.say("/sensor")


def test_a_sensor_that_was_never_read_out_is_asked_for(talk: Talk) -> None:
    talk.say("new sensor on")
    assert ("02 14:00", "sync") in due(talk)
    assert "by 15:00: the sensor keeps 8 h, and it was put on at 07:00" in talk.at("14:00").tick()


def test_a_rise_of_yesterday_is_asked_about_with_its_day(talk: Talk) -> None:
    said = talk.at("07:30", days=1).file(readings_csv(MORNING + timedelta(hours=8), HUMP))
    assert "Something yesterday around 16:05? A rise of 3.0 mmol/L that" in said


def test_one_dip_looks_and_two_look(talk: Talk) -> None:
    night = [5.0] * 24 + [2.8] * 4 + [5.0] * 68
    talk.file(readings_csv(MORNING - timedelta(hours=8), night))
    assert "1 dip looks like lying on the sensor" in talk.say("/sensor")


def test_who_went_to_bed_at_another_hour_is_left_to_sleep() -> None:
    """A night worker on a day off: the quiet hours are by day, the sleep by night."""
    with talking() as talk:
        talk.at("17:00").say("new sensor on")
        talk.say("/quiet 9:00-16:00")
        talk.at("22:40").say("synced")
        talk.at("0:30", 1).say("40 g crisps")
        assert "lose nothing by 08:30" in talk.at("1:30", 1).say("bed")
        heard = [talk.at(f"{hour}:{minute:02}", 1).tick() for hour in range(2, 8) for minute in (0, 30)]
        assert not any(heard)
        assert "Sync now to save the rest" in talk.at("8:30", 1).tick()


def test_what_is_noted_after_going_to_bed_says_that_nobody_sleeps() -> None:
    with talking() as talk:
        talk.at("17:00").say("new sensor on")
        talk.say("/quiet 9:00-16:00")
        talk.at("22:40").say("synced")
        talk.at("1:30", 1).say("bed")
        talk.at("2:30", 1).say("40 g crisps at 2:25")
        assert "was 2 h ago" in talk.at("4:25", 1).tick()
