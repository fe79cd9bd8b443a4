"""An entry on its way: what a clause says, its time not resolved yet."""

from dataclasses import dataclass, replace
from typing import Literal

from bot.entries import Effort
from bot.understanding.pieces import Clause, Moment


@dataclass(slots=True)
class Draft:
    """An entry whose time is not resolved yet.

    what: the activity, the feeling, "started" or "ended"; minutes, effort: of an activity; mmol: of a reading
    ask: why it is no entry after all, in words for the person
    """

    kind: Literal["activity", "reading", "sleep", "sync", "sensor", "feeling"]
    clause: Clause
    what: str = ""
    minutes: float | None = None
    effort: Effort = "light"
    mmol: float = 0.0
    moment: Moment | None = None
    ask: str = ""


def moment_of(clause: Clause) -> Moment | None:
    """Return the clause's time: its clock time (with a day from elsewhere in it), else whatever it has."""
    return join_moments([p for p in clause.pieces if isinstance(p, Moment)])


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
                after_min=main.after_min if main.after_min is not None else other.after_min,
            )
    return main
