"""What the demo around the change of the clocks foretells is what its readings then lack, to five minutes."""

import re
from datetime import datetime, time, timedelta

from bot.app import App
from bot.channels.script import Line, Sent, play, read_script
from bot.commandline.play import demo_scripts
from bot.model.clock import SettableClock
from bot.reminders.rules import first_instant

FORECAST = re.compile(r"lose (?:nothing|about ((?:\d+ h ?)?(?:\d+ min)?)) by (\d\d):(\d\d)")
WITHOUT = re.compile(r"by (\d\d):(\d\d); otherwise you lose ((?:\d+ h ?)?(?:\d+ min)?)")


def to_minutes(said: str) -> int:
    hours, minutes = re.search(r"(\d+) h", said), re.search(r"(\d+) min", said)
    return 60 * int(hours[1] if hours else 0) + int(minutes[1] if minutes else 0)


def test_the_forecasts_come_true() -> None:
    path = next(p for p in demo_scripts() if "clock_change" in p.name)
    script = read_script(path)
    clock = SettableClock(script.start)
    app = App("sqlite://", zone=script.zone.key, unit=script.unit, clock=clock)
    heard: list[Line | Sent] = []
    try:
        play(script, app, clock, "local", heard.append)
        with app.store.read() as tx:
            stamps = [r.at for r in tx.readings.between("local", None, None) if r.at is not None]
    finally:
        app.close()
    files = [one.at for one in heard if isinstance(one, Line) and one.text.startswith("(file")]

    def wake(said_at: datetime, hour: str, minute: str) -> datetime:
        day, clock_time = said_at.astimezone(script.zone).date(), time(int(hour), int(minute))
        ends = (first_instant(day + timedelta(days=n), clock_time, script.zone) for n in range(2))
        return next(end for end in ends if end > said_at)

    def missing_min(said_at: datetime) -> float:
        """Return the gap in the stored readings that begins with the last one read out by then."""
        read_out = max(at for at in files if at <= said_at)
        last = max(at for at in stamps if at <= read_out)
        after = min(at for at in stamps if at > last)
        return max(0.0, (after - last) / timedelta(minutes=1) - 5.0)

    came_true = []
    for sent in (one for one in heard if isinstance(one, Sent)):
        synced = any(0 <= (at - sent.at) / timedelta(minutes=1) <= 5 for at in files)
        found = FORECAST.search(sent.message.text)
        lost = WITHOUT.search(sent.message.text)
        if found is not None and synced:
            woke = wake(sent.at, found[2], found[3])
            foretold = to_minutes(found[1]) if found[1] else 0
            said_at = min(at for at in files if at >= sent.at.astimezone(script.zone))
        elif lost is not None and not synced:
            woke, foretold, said_at = wake(sent.at, lost[1], lost[2]), to_minutes(lost[3]), sent.at
        else:
            continue
        if not any(abs(at - woke) <= timedelta(minutes=5) for at in files):
            continue  # not read out on waking
        if any(said_at < at < woke - timedelta(minutes=5) for at in files):
            continue  # read out once more before sleeping
        assert abs(missing_min(said_at) - foretold) <= 5, (sent.at, sent.message.text)
        came_true.append(foretold)
    # Thursday's early night, Friday's, the short one to Sunday, the one after the missed sync
    assert {0, 40, 20, 160} <= set(came_true)
