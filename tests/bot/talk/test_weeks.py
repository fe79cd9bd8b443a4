"""The week's review, the evening line, and what is said when sensors and runs begin and end; as talked."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Thread

import pytest

from bot.app import App
from bot.model.clock import SettableClock
from bot.model.entries import Sensor
from tests.simulated.logged import FIRST, log_weeks
from tests.talk import MORNING, Talk, readings_csv, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        yield one


@pytest.fixture
def weeks() -> Iterator[Talk]:
    """Four weeks as stored, on the evening of their last day, a Sunday, before the review is due."""
    clock = SettableClock(FIRST + timedelta(days=27, hours=17))
    app = App("sqlite://", zone="UTC", unit="mmol/L", clock=clock)
    log_weeks(app.store, 28)
    try:
        yield Talk(app, clock)
    finally:
        app.close()


def pending(talk: Talk, kind: str) -> list[datetime]:
    with talk.app.store.read() as tx:
        return [r.due_at for r in tx.reminders.pending("local") if r.kind.split(":")[0] == kind]


def on(talk: Talk, day: int, clock: str) -> Talk:
    hour, minute = map(int, clock.split(":"))
    talk.clock.move_to(FIRST + timedelta(days=day, hours=hour, minutes=minute))
    return talk


def test_the_week_is_looked_back_on_once_in_one_message_with_one_picture(weeks: Talk) -> None:
    weeks.say("thanks")
    assert pending(weeks, "review") == [FIRST + timedelta(days=27, hours=18, minutes=30)]
    said = on(weeks, 27, "18:30").tick()
    message = next(one for one in weeks.heard if one.picture is not None)
    assert "Your week, Mon 23 Mar to Sun 29 Mar: 21 meals noted, " in said
    assert "with a score" in said
    assert "readings cover" in said
    assert message.reminder
    assert message.picture is not None
    assert message.picture.kind == "review"
    assert message.buttons[0].label in ("Test it", "Remind me of it")
    assert "No more of these" in [button.label for button in message.buttons]
    assert weeks.tick() == ""
    assert pending(weeks, "review") == [FIRST + timedelta(days=34, hours=18, minutes=30)]
    picture = weeks.app.draw(message.picture, "local")
    assert picture.png.startswith(b"\x89PNG")
    assert "Sun: mean" in picture.alt


def test_no_reviews_ends_them_and_a_word_brings_them_back(weeks: Talk) -> None:
    weeks.say("thanks")
    on(weeks, 27, "18:30").tick()
    assert weeks.press("No more of these").startswith("No more weekly reviews.")
    assert pending(weeks, "review") == []
    assert "Your week" not in on(weeks, 34, "18:30").tick()
    weeks.say("weekly review again")
    assert len(pending(weeks, "review")) == 1
    weeks.say("no reviews")
    assert pending(weeks, "review") == []


def test_nothing_is_said_of_a_week_without_a_note(weeks: Talk) -> None:
    weeks.say("thanks")
    on(weeks, 27, "18:30").tick()
    assert "week" not in on(weeks, 34, "18:30").tick()
    assert weeks.say("how was my week?").startswith("Nothing is noted in these days")


def test_the_persons_own_week_counts(weeks: Talk) -> None:
    weeks.say("my week starts on Mondays")
    weeks.say("my week starts on Wednesdays")
    assert pending(weeks, "review") == [FIRST + timedelta(days=29, hours=18, minutes=30)]


def test_in_quiet_hours_it_waits_and_is_of_its_own_week(weeks: Talk) -> None:
    weeks.say("thanks")
    on(weeks, 28, "03:00")  # nobody ran in the evening
    assert weeks.tick() == ""
    assert "Your week, Mon 23 Mar to Sun 29 Mar" in on(weeks, 28, "06:30").tick()


def test_too_little_is_said_as_it_is(talk: Talk) -> None:
    talk.say("50 g oats")
    said = talk.say("how was my week?")
    assert "1 meal noted. No readings reached me, so there are no curves." in said
    assert "Too few days are noted whole" in said


def test_a_week_has_no_days_before_somebody_came(talk: Talk) -> None:
    talk.say("50 g oats")
    talk.at("12:00", 2).say("100 g white bread")
    assert talk.say("/week").startswith("Your week, Mon 2 Mar to Wed 4 Mar: 2 meals noted.")
    talk.file(readings_csv(MORNING - timedelta(hours=30), [5.0] * 12))
    assert talk.say("/week").startswith("Your week, Sun 1 Mar to Wed 4 Mar: ")


def test_others_can_write_while_a_review_is_worded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with talking(f"sqlite:///{tmp_path}/diary.db") as talk:
        talk.say("50 g oats")
        wrote: list[bool] = []

        def word_slowly(*_: object) -> dict[str, dict[str, None]]:
            other = Thread(target=lambda: talk.app.invite())
            other.start()
            other.join(5)
            wrote.append(not other.is_alive())
            return {}

        monkeypatch.setattr("bot.talk.turn.word_ahead", word_slowly)
        talk.tick()
        assert wrote == [True]


def test_the_suggestion_starts_a_test_or_a_reminder(weeks: Talk) -> None:
    weeks.say("/week")
    labels = [button.label for button in weeks.heard[-1].buttons]
    assert labels == ["Test it"]  # it was asked for, so nothing to end
    assert "pairs" in weeks.press("Test it")
    assert weeks.press("Agree").startswith("Agreed.")
    weeks.say("/week")
    assert weeks.press("Remind me of it").startswith("I'll remind you ")
    (due,) = pending(weeks, "eat")
    weeks.clock.move_to(due)
    assert "You wanted to try this next: " in weeks.tick()
    assert pending(weeks, "eat") == []


def test_a_serving_to_try_is_taken_back_and_odd_buttons_break_nothing(weeks: Talk) -> None:
    plate = weeks.logged("meal")[-1]
    weeks.send(press=f"try:half,0,{plate.id}")
    assert len(pending(weeks, "eat")) == 1
    assert weeks.press("Not after all") == "Then I won't remind you of it."
    assert pending(weeks, "eat") == []
    for odd in ("try:", "try:half,0", "try:eat,0,1", "test:half,x,999999", "try:half,²,²", "forget try:"):
        assert weeks.send(press=odd)


def test_an_evening_line_is_off_until_asked_for_and_says_what_is_missing(weeks: Talk) -> None:
    assert pending(weeks, "evening") == []
    weeks.say("no reviews")
    weeks.say("evening line please")
    (due,) = pending(weeks, "evening")
    weeks.clock.move_to(due)
    said = weeks.tick()
    assert "Your usual meals are all noted." in said
    assert "Evenness today: breakfast " in said
    (due,) = pending(weeks, "evening")
    weeks.clock.move_to(due)
    assert "I have no breakfast or lunch or dinner from you today" in weeks.tick()
    weeks.say("no evening line")
    assert pending(weeks, "evening") == []


def test_the_evening_line_comes_with_a_sync_within_the_hour(talk: Talk) -> None:
    talk.say("evening line please")
    talk.say("new sensor on")
    talk.file(readings_csv(MORNING - timedelta(hours=8), [5.0] * 97))
    talk.at("14:30").say("synced")
    assert pending(talk, "evening") == pending(talk, "sync") == [MORNING.replace(hour=21, minute=30)]


def put_on(talk: Talk, *days: float) -> None:
    """Note sensors as put on so many days after the first."""
    with talk.app.store.begin() as tx:
        tx.people.ensure("local", zone="Europe/Vienna", unit="mmol/L", at=MORNING)
        for day in days:
            at = (MORNING + timedelta(days=day)).astimezone(UTC)
            entry = Sensor("started", at)
            tx.log.add("local", entry, message_id=None, at=at, update_id=f"s{day}", ordinal=0)


def test_without_a_sensor_nobody_is_asked_to_sync(talk: Talk) -> None:
    put_on(talk, 0)
    talk.at("06:40", 14).say("synced")
    said = talk.at("08:00", 14).tick()
    assert "Your sensor's 14 days are over, and I know of no next one." in said
    assert pending(talk, "sync") == []
    assert talk.at("08:00", 15).tick() == ""


def test_on_the_last_day_the_last_readings_are_asked_for_once(talk: Talk) -> None:
    put_on(talk, 0.5)
    talk.at("12:00", 14).say("synced")
    said = talk.at("18:00", 14).tick()
    assert "Your sensor ends at 19:00. Please sync before you take it off" in said
    assert talk.at("18:10", 14).tick() == ""


def test_the_end_of_a_run_offers_the_report_once(talk: Talk) -> None:
    put_on(talk, 0, 14)
    talk.at("06:30", 28).say("synced")
    talk.say("50 g oats")
    said = talk.at("09:00", 28).tick()  # the clocks went forward between
    assert "Your run is complete: 2 sensors, Mon 2 Mar to Mon 30 Mar." in said
    assert "report" in talk.press("Send me the report")
    assert "complete" not in talk.at("10:00", 28).tick()


def test_a_sensor_that_comes_off_is_answered_by_where_that_leaves_one(talk: Talk) -> None:
    put_on(talk, 0)
    assert "I won't ask for syncs until you say “new sensor on”" in talk.at("12:00", 5).say("sensor fell off")
    assert "another run" not in talk.at("12:30", 5).say("new sensor on")
    assert "Your run is complete: 2 sensors" in talk.at("12:00", 18).say("sensor came off")
    assert talk.heard[-1].buttons[-1].label == "Send me the report"
    said = talk.at("12:00", 200).say("new sensor on")
    assert "This begins another run; your last one began on Mon 2 Mar." in said


def test_without_a_sensor_there_are_no_runs_to_compare(talk: Talk) -> None:
    assert talk.say("compare my runs").startswith("I know of one run at most")


def test_a_second_run_is_set_beside_the_first(weeks: Talk) -> None:
    assert "one run at most" in weeks.say("compare my runs")
    with weeks.app.store.begin() as tx:
        at = FIRST + timedelta(days=150)
        tx.log.add(
            "local", Sensor("started", at), message_id=None, at=at, update_id="later", ordinal=0
        )  # fmt: skip
    weeks.clock.move_to(FIRST + timedelta(days=151))
    said = weeks.say("compare my runs")
    assert "Earlier run: Mon 2 Mar to Sun 29 Mar 2026. Later run: Thu 30 Jul to Fri 31 Jul 2026." in said
    assert "sensors read unlike each other" in said
