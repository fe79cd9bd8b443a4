"""The days that an option names, as instants."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from bot.model.errors import BadSetting
from bot.reminders.rules import first_instant


def read_bound(said: str | None, option: str, zone: ZoneInfo, included: bool = False) -> datetime | None:
    """Return the instant of a day or a stamp; of a day that is `included`, its end."""
    if said is None:
        return None
    try:
        day = date.fromisoformat(said)
    except ValueError:
        try:
            at = datetime.fromisoformat(said)
        except ValueError:
            raise BadSetting(f"{option}: write a day like 2026-03-02, not “{said[:40]}”.") from None
        return (at if at.tzinfo else at.replace(tzinfo=zone)).astimezone(UTC)
    try:
        return first_instant(day + timedelta(days=1) if included else day, time(0), zone)
    except OverflowError:
        raise BadSetting(f"{option}: the day {said[:40]} is out of reach.") from None
