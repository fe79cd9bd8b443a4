"""Which servings count in a trial: stated rules, applied before anybody has seen the result.

What is judged here holds no glucose: whether a curve is whole and fit, not what it shows. The diary is
replayed from the first serving on, so that a later correction or undo of a note falls through to the trial.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from analysis.flags import UNFIT
from analysis.ranking import TRACE_G
from analysis.trials.protocol import Protocol

MOVED_AFTER = frozenset({"walk after", "chores after", "exercise after"})
MOVED_BEFORE = frozenset({"walk before", "chores before", "exercise before"})
BEGIN_MIN, LEAST_MIN = 45.0, 10.0
"""Movement after a meal has to begin within so long of the first bite, and last at least so long."""


@dataclass(frozen=True, slots=True)
class Offered:
    """A serving that may count: what is known of it but its result.

    foods: name -> grams; levers: names of what went with it, as `bot.frames.levers` finds them
    moves: (start minute, minutes, what) of movement around it, as in `analysis.results.Serving`
    before_min: how long before the first bite carbohydrate was last eaten (min); None: not that day
    beside_g: carbohydrate of other notes from the first bite to 120 min after it (g)
    carbs: name -> carbohydrate of what is on the plate (g), as far as known
    why_not, flags: of its curve; whole: whether it has one; sensor: which one gave it
    """

    entry_id: int
    at: datetime
    slot: str
    foods: Mapping[str, float]
    levers: frozenset[str] = frozenset()
    moves: tuple[tuple[float, float, str], ...] = ()
    before_min: float | None = None
    beside_g: float = 0.0
    carbs: Mapping[str, float] = field(default_factory=dict)
    whole: bool = True
    why_not: str = ""
    flags: tuple[str, ...] = ()
    sensor: object = None


@dataclass(frozen=True, slots=True)
class Judged:
    """A serving and whether it counts; reasons: one sentence each, why it was set aside (empty: it counts).

    pair: from 0; arm: which one was due, 0 or 1
    """

    offered: Offered
    pair: int
    arm: int
    reasons: tuple[str, ...]

    @property
    def accepted(self) -> bool:
        """Whether it counts."""
        return not self.reasons


@dataclass(frozen=True, slots=True)
class Course:
    """How far a trial is: every serving that was offered, the pairs complete, and what is due next.

    pairs: (entry of the first arm, entry of the second) of each complete pair, in the order of time
    due: (pair, arm) of the next serving; None when the agreed pairs are complete
    """

    judged: tuple[Judged, ...]
    pairs: tuple[tuple[int, int], ...]
    due: tuple[int, int] | None


def concerns(protocol: Protocol, offered: Offered) -> bool:
    """Tell whether a serving holds the foods of either arm, in whatever amount; others are not offered."""
    return any(all(p.food in offered.foods for p in arm.foods) for arm in protocol.arms)


def accept(protocol: Protocol, offered: Offered, arm: int, first: Offered | None = None) -> tuple[str, ...]:
    """Return why a serving does not count as the arm that is due, one sentence each; empty where it counts.

    first: the first serving of this pair; None for the first itself
    """
    checks = (
        _check_slot(protocol, offered),
        *_check_foods(protocol, offered, arm),
        _check_rest(protocol, offered, first),
        *_check_levers(protocol, offered, arm),
        _check_before(protocol, offered, arm),
        _check_beside(offered),
        _check_curve(offered),
        _check_sensor(offered, first),
    )
    return tuple(why for why in checks if why)


def _check_slot(protocol: Protocol, offered: Offered) -> str:
    if offered.slot == protocol.slot:
        return ""
    return f"It was {offered.slot or 'no named meal'}, and the test is of {protocol.slot}."


def _check_foods(protocol: Protocol, offered: Offered, arm: int) -> Iterator[str]:
    for portion in protocol.arms[arm].foods:
        grams = offered.foods.get(portion.food)
        if grams is None:
            yield f"There was no {portion.food} in it, and “{protocol.arms[arm].name}” was due."
        elif abs(grams / portion.grams - 1) > protocol.within + 1e-9:
            yield f"It was {grams:.0f} g of {portion.food}, and {portion.grams:.0f} g were agreed."
    mine, other = ({one.food for one in protocol.arms[k].foods} for k in (arm, 1 - arm))
    for food in sorted((other - mine) & offered.foods.keys()):
        yield f"There was {food} in it, and “{protocol.arms[arm].name}” was due."


def names_plates(protocol: Protocol) -> bool:
    """Tell whether the arms are whole plates, not two foods that are had with something else."""
    first, second = ({one.food for one in arm.foods} for arm in protocol.arms)
    return first <= second or second <= first


def _check_rest(protocol: Protocol, offered: Offered, first: Offered | None) -> str:
    """Check carbohydrate that no arm names: none beside whole plates, else as much as the pair began with."""
    rest = _rest(protocol, offered)
    total = sum(rest.values())
    if names_plates(protocol):
        if total < TRACE_G:
            return ""
        most = max(rest, key=lambda food: rest[food])
        return f"There was {most} in it, and {total:.0f} g of carbohydrate more than was agreed."
    if first is None:
        return ""
    before = sum(_rest(protocol, first).values())
    if abs(total - before) <= max(TRACE_G, protocol.within * before):
        return ""
    return (
        f"What was eaten with it held {total:.0f} g of carbohydrate, and {before:.0f} g the first time in "
        "this pair."
    )


def _rest(protocol: Protocol, offered: Offered) -> dict[str, float]:
    named = {portion.food for arm in protocol.arms for portion in arm.foods}
    return {food: carbs for food, carbs in offered.carbs.items() if food not in named}


def _check_levers(protocol: Protocol, offered: Offered, arm: int) -> Iterator[str]:
    wanted, other = protocol.arms[arm].levers, protocol.arms[1 - arm].levers
    for lever in wanted:
        if lever not in offered.levers:
            yield f"{_name(lever)} was due and is not noted."
        elif lever in MOVED_AFTER and not any(
            0 <= start <= BEGIN_MIN and minutes >= LEAST_MIN for start, minutes, _ in offered.moves
        ):
            yield (
                f"{_name(lever)} has to begin within {BEGIN_MIN:.0f} min of the first bite and to last "
                f"{LEAST_MIN:.0f} min at least."
            )
    for lever in sorted(offered.levers & (frozenset(other) | MOVED_AFTER) - frozenset(wanted)):
        turn = "it was the turn without it" if lever in other else "it was not agreed"
        yield f"{_name(lever)} was noted, and {turn}."


def _name(lever: str) -> str:
    """Word a lever at the beginning of a sentence: A walk after it."""
    kind, _, when = lever.partition(" ")
    if when not in ("after", "before"):
        return lever.capitalize()
    return f"{'A walk' if kind == 'walk' else kind.capitalize()} {when} it"


def _check_before(protocol: Protocol, offered: Offered, arm: int) -> str:
    moved = sorted(offered.levers & MOVED_BEFORE - frozenset(protocol.arms[arm].levers))
    if moved:
        return f"{_name(moved[0])} was noted, and nothing of the kind was agreed before it."
    if offered.before_min is None or offered.before_min >= protocol.washout_min:
        return ""
    return (
        f"Something was eaten {offered.before_min:.0f} min before it, and {protocol.washout_min:.0f} min "
        f"without were agreed."
    )


def _check_beside(offered: Offered) -> str:
    if offered.beside_g < TRACE_G:
        return ""
    return f"Something else with {offered.beside_g:.0f} g of carbohydrate was eaten within its two hours."


def _check_curve(offered: Offered) -> str:
    if not offered.whole:
        return f"It has no whole curve: {offered.why_not}."
    unfit = next((why for flag, why in UNFIT.items() if any(flag in one for one in offered.flags)), "")
    return f"Its curve is not fit to be compared: {unfit}." if unfit else ""


def _check_sensor(offered: Offered, first: Offered | None) -> str:
    if first is None or offered.sensor == first.sensor:
        return ""
    return "A new sensor was put on within this pair, so that the pair begins anew."


def follow(protocol: Protocol, offered: Sequence[Offered]) -> Course:
    """Replay a trial: judge each serving that concerns it in the order of time, by the arm then due.

    A pair whose second serving comes from another sensor begins anew with the same order.
    """
    judged: list[Judged] = []
    pairs: list[tuple[int, int]] = []
    begun: Offered | None = None
    for one in sorted(offered, key=lambda o: (o.at, o.entry_id)):
        if len(pairs) == protocol.pairs:
            break
        if not concerns(protocol, one):
            continue
        first = protocol.order[len(pairs)]
        arm = first if begun is None else 1 - first
        reasons = accept(protocol, one, arm, begun)
        judged.append(Judged(one, len(pairs), arm, reasons))
        if begun is not None and one.sensor != begun.sensor:
            begun = None
        elif not reasons and begun is None:
            begun = one
        elif not reasons and begun is not None:
            ids = begun.entry_id, one.entry_id
            pairs.append(ids if first == 0 else ids[::-1])
            begun = None
    if len(pairs) == protocol.pairs:
        return Course(tuple(judged), tuple(pairs), None)
    first = protocol.order[len(pairs)]
    return Course(tuple(judged), tuple(pairs), (len(pairs), first if begun is None else 1 - first))
