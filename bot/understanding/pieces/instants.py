"""A `Moment` as it was said -> an instant, given now and the person's zone.

Rules, in order: a full stamp is taken as it is. A clock time without a day means today. Before seven in the
morning the evening before still counts as today. A bare hour ("at 8") is the nearest one in the past, morning
or evening, unless the meal's name says which. "1:15" to "4:59" without a leading zero is the afternoon once
it has come. Up to a quarter of an hour ahead is kept (clocks differ); anything later is never
stored: the answer is a question. A time that a change of clocks skips becomes the next valid minute; one
that it repeats is the first.
"""

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from bot.language.times import write_clock
from bot.model.entries import Slot, Timed
from bot.understanding.pieces.days import NO_YEAR
from bot.understanding.pieces.pieces import Moment
from bot.understanding.pieces.slots import USUAL_TIME, fits_hour
from bot.understanding.words.lexicon import TAGS

AHEAD_MIN = 15
NIGHT_ENDS = 7
_PART_TIME = {"morning": 8, "afternoon": 15, "evening": 19, "night": 20, "tonight": 19}
_PART_HOURS = {"afternoon": (12, 18), "evening": (17, 22), "night": (20, 24), "tonight": (17, 22)}
"""What is told of a part of today between these hours is told at once: "tonight: curry", "6.1 before bed"."""
_MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Resolved:
    """An instant in UTC (None when it cannot be told), how it was found, and what to ask."""

    at: datetime | None
    timed: Timed
    ask: str = ""


def place(day: date, clock: time, zone: ZoneInfo) -> datetime:
    """Return the instant (in UTC) of a wall-clock time: the next valid minute in a gap, the first of two."""
    wall = datetime.combine(day, clock)
    while True:
        at = wall.replace(tzinfo=zone).astimezone(UTC)
        if at.astimezone(zone).replace(tzinfo=None) == wall:
            return at
        wall += _MINUTE


def is_ahead(at: datetime, now: datetime) -> bool:
    """Tell whether an instant is still to come, by more than clocks may differ."""
    return at > now.astimezone(UTC) + _MINUTE * AHEAD_MIN


def resolve(moment: Moment | None, now: datetime, zone: ZoneInfo, slot: Slot | None = None) -> Resolved:
    """Return the instant that `moment` (None: no time was said) means at `now`, for a meal called `slot`."""
    local = now.astimezone(zone)
    if moment is not None and moment.instant:
        return _not_ahead([datetime.fromisoformat(moment.instant).astimezone(UTC)], local)
    if moment is not None and moment.ago_min is not None:
        return Resolved(now.astimezone(UTC) - timedelta(minutes=moment.ago_min), "stated")
    if moment is not None and moment.of_hour and moment.hour is None:
        past = local.replace(minute=moment.minute, second=0, microsecond=0).astimezone(UTC)
        return Resolved(past if past <= now else past - timedelta(hours=1), "stated")
    if moment is None or (moment.hour is None and not moment.has_day and not moment.part):
        return _untimed(local, zone, slot)
    if moment.part in TAGS.evening and moment.days == 0 and local.hour < NIGHT_ENDS:
        moment = replace(moment, days=-1)  # "tonight" after midnight is the night that is ending
    day = day_of(moment, local.date())
    if day is not None and day.year < local.year - 1:
        return Resolved(None, "stated", f"{day} is years ago: say when it was, like “yesterday 20:00”.")
    if moment.hour is None:
        return _of_day(moment, day, local, zone, slot)
    clocks = _clocks(moment, slot, day_said=day is not None)
    if day is not None:
        if moment.part in ("night", "tonight") and moment.days == -1:
            # "last night at 1" is this morning, and still last night.
            return _not_ahead([_night(c, day, zone) for c in clocks], local)
        return _not_ahead([place(day, clock, zone) for clock in clocks], local)
    today = [place(local.date(), clock, zone) for clock in clocks]
    if local.hour < NIGHT_ENDS and all(is_ahead(at, now) for at in today):
        evening = [place(local.date() - timedelta(days=1), c, zone) for c in clocks if c.hour >= 15]
        if moment.hour == 12 and not moment.half:  # "at half 12", said at one at night
            return _not_ahead([place(local.date(), time(0, moment.minute), zone)], local)
        if evening:
            return _not_ahead(evening, local)
        if slot is not None and moment.loose:  # lunch on a night shift
            today = [place(local.date(), clock, zone) for clock in _clocks(moment, None, day_said=False)]
    if moment.loose:
        today.sort(reverse=True)
    return _not_ahead(today, local)


def _untimed(local: datetime, zone: ZoneInfo, slot: Slot | None) -> Resolved:
    if slot in USUAL_TIME and not fits_hour(slot, local.hour):
        usual = place(local.date(), USUAL_TIME[slot], zone)
        if usual < local.astimezone(UTC):
            return Resolved(usual, "slot")
    return Resolved(local.astimezone(UTC), "now")


def _of_day(moment: Moment, day: date | None, local: datetime, zone: ZoneInfo, slot: Slot | None) -> Resolved:
    """Resolve a day or a part of one without a clock time."""
    on = day or local.date()
    clock = USUAL_TIME.get(slot) if slot is not None else None
    if clock is None and moment.part:
        clock = time(_PART_TIME[moment.part])
    if on == local.date() and (clock is None or place(on, clock, zone) > local.astimezone(UTC)):
        return _untimed(local, zone, None)
    if clock is None:
        name = "yesterday" if moment.days == -1 else f"on {on:%A}"
        return Resolved(
            None, "stated", f"What time was that {name}? Say it with its time, like “{name} 15:30”."
        )
    first, end = _PART_HOURS.get(moment.part, (0, 0))
    within = first <= local.hour < end if slot is None else fits_hour(slot, local.hour)
    if on == local.date() and within:
        return Resolved(local.astimezone(UTC), "now")
    return _not_ahead([place(on, clock, zone)], local, timed="slot")


def day_of(moment: Moment, today: date) -> date | None:
    """Return the day that was said, None when none was."""
    if moment.on is not None:
        if moment.on.year != NO_YEAR:
            return moment.on
        this_year = _in_year(moment.on, today.year)
        return this_year if this_year <= today else _in_year(moment.on, today.year - 1)
    if moment.days is not None:
        off = 0 if moment.weekday is None else moment.weekday - today.weekday()  # "Tuesday last week"
        return today + timedelta(days=moment.days + off)
    if moment.weekday is not None:
        behind = (today.weekday() - moment.weekday) % 7
        return today - timedelta(days=behind or (7 if moment.back else 0))
    return None


def _in_year(day: date, year: int) -> date:
    try:
        return day.replace(year=year)
    except ValueError:  # 29 February in a common year
        return date(year, 3, 1)


def _night(clock: time, day: date, zone: ZoneInfo) -> datetime:
    return place(day + timedelta(days=1) if clock.hour < NIGHT_ENDS else day, clock, zone)


def _clocks(moment: Moment, slot: Slot | None, *, day_said: bool) -> list[time]:
    """Return the times of day that a clock time may mean, the literal one first."""
    hour = moment.hour or 0
    if moment.part in TAGS.evening and not moment.half and 5 <= hour < 12:
        return [time(hour + 12, moment.minute)]  # also where it is written "1030"
    if moment.half:
        if hour <= 12:
            hour = hour % 12 + (12 if moment.half == "pm" else 0)
        return [time(hour, moment.minute)]
    literal = time(hour, moment.minute)
    if moment.padded or not 1 <= hour <= 12:
        return [literal]
    other = time((hour + 12) % 24, moment.minute)
    if hour == 12:
        return [literal]
    if moment.part in TAGS.evening:
        # Hours after midnight belong to the night as well ("last night at 1").
        return [literal] if moment.part == "night" and hour < 4 else [other]
    if moment.part == "afternoon":
        return [other]
    if moment.part == "morning":
        return [literal]
    if slot in USUAL_TIME:
        fitting = [c for c in (literal, other) if c.hour >= 3 and fits_hour(slot, c.hour)]
        if fitting:
            return fitting
    if moment.loose:
        # On another day nobody means the small hours by "at 3".
        return [other, literal] if day_said and hour <= 6 else [literal, other]
    return [other, literal] if hour < 5 else [literal, other]


def clocks_of(moment: Moment) -> list[time]:
    """Return every time of day that a clock time may mean when nothing else tells."""
    if moment.half or moment.padded or moment.part or not 1 <= (moment.hour or 0) <= 12:
        return _clocks(moment, None, day_said=False)
    hour = (moment.hour or 0) % 12
    return [time(hour, moment.minute), time(hour + 12, moment.minute)]


def _not_ahead(candidates: list[datetime], local: datetime, timed: Timed = "stated") -> Resolved:
    """Choose among the candidates the right one that is not ahead; ask when all are."""
    past = [at for at in candidates if not is_ahead(at, local)]
    if past:
        return Resolved(past[0], timed)
    first = min(candidates).astimezone(local.tzinfo)
    if first.date() == local.date():
        return Resolved(
            None,
            timed,
            f"{write_clock(first)} is still to come: did you mean yesterday {write_clock(first)}?",
        )
    return Resolved(
        None,
        timed,
        f"{write_clock(first)} on {first:%Y-%m-%d} is still to come: say when it was, like “yesterday "
        "20:00”.",
    )
