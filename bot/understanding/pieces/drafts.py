"""An entry on its way: what a clause says, its time not resolved yet."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from bot.model.entries import Effort
from bot.model.units import GlucoseUnit
from bot.understanding.pieces.pieces import Amount, Clause, Moment


@dataclass(slots=True)
class Draft:
    """An entry whose time is not resolved yet.

    what: the activity, the feeling, "started", "ended" or "failed"; minutes, effort: of an activity
    ended: when movement was over, where its end was said ("back at 7") and not its beginning
    value, unit: of a reading, the unit None when it was not said; of_blood: it was said to be of a finger
    ask: why it is no entry after all, in words for the person
    """

    kind: Literal["activity", "reading", "sleep", "sync", "sensor", "feeling"]
    clause: Clause
    what: str = ""
    minutes: float | None = None
    effort: Effort = "light"
    value: float = 0.0
    unit: GlucoseUnit | None = None
    of_blood: bool = False
    moment: Moment | None = None
    ended: Moment | None = None
    ask: str = ""


def moment_of(clause: Clause) -> Moment | None:
    """Return the clause's time: its clock time (with a day from elsewhere in it), else whatever it has."""
    return join_moments(clause.moments)


def join_moments(moments: list[Moment]) -> Moment | None:
    """Join the times of one entry: a clock time takes the day or part of the day said apart from it."""
    if not moments:
        return None
    main = next((m for m in moments if m.has_clock), moments[0])
    for other in moments:
        if other is not main and not other.has_clock:
            main = replace(
                main,
                days=main.days if main.days is not None else other.days,
                weekday=main.weekday if main.weekday is not None else other.weekday,
                back=main.back or other.back,
                on=main.on or other.on,
                part=main.part or other.part,
                side=main.side or other.side,
                side_slot=main.side_slot or other.side_slot,
                side_what=main.side_what or other.side_what,
                after_min=main.after_min if main.after_min is not None else other.after_min,
            )
    return main


def bare_span(bare: Sequence[Amount], day: Moment | None = None) -> Moment | None:
    """Take "11 to 7" (two numbers, or a range where they rise) for hours; None when they are none.

    day: a day or part of one that was said apart from the hours
    """
    first, last = bare[0], bare[-1]
    low, high = (first.value, last.value) if len(bare) == 2 else (first.low or 0.0, first.high or 0.0)
    if not (0 < low <= 24 and 0 < high <= 24 and low == int(low) and high == int(high)):
        return None
    if low == high and first is last:
        return None
    until = Moment(last.start, last.end, hour=int(high) % 24, loose=high <= 12)
    span = Moment(first.start, last.end, hour=int(low) % 24, loose=low <= 12, until=until)
    if day is None:
        return span
    return replace(
        span,
        days=day.days,
        weekday=day.weekday,
        back=day.back,
        on=day.on,
        part=day.part,
        until=replace(until, days=day.days, weekday=day.weekday, back=day.back, on=day.on),
    )
