"""A person's trial as the analysis takes it: its protocol, the servings offered to it, how it stands."""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from typing import Any

from analysis.results import Serving
from analysis.trials.accepting import Course, Judged, Offered, follow
from analysis.trials.protocol import Arm, Portion, Protocol
from analysis.trials.verdict import Verdict, judge
from bot.frames.levers import Around, find_levers
from bot.frames.rows import food_of
from bot.frames.servings import occasions_between
from bot.model.entries import Meal, Sensor
from bot.store import Logged, Person, StoredTrial, Transaction

CARBS_G = 5.0
"""A note with less carbohydrate is nothing eaten before a serving."""
BEFORE = timedelta(hours=12)
CURVE = timedelta(hours=2)
_MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a trial stands.

    verdict: of the complete pairs whose curves are there; waiting: servings whose readings are still to come
    areas: (first arm, second arm) of each pair judged (mmol/L·min)
    """

    trial: StoredTrial
    protocol: Protocol
    course: Course
    verdict: Verdict
    waiting: frozenset[int]
    areas: tuple[tuple[float, float], ...]

    def of_notes(self, ids: Sequence[int]) -> Judged | None:
        """Return what became of the serving that some notes are; None where it is none of the trial's."""
        wanted = set(ids)
        return next((one for one in self.course.judged if one.offered.entry_id in wanted), None)


def write_protocol(protocol: Protocol, foods: Mapping[str, str]) -> dict[str, Any]:
    """Return a protocol as plain JSON values; foods: what each food's name stands for in the table."""
    return {"protocol": asdict(protocol), "foods": dict(foods)}


def read_protocol(trial: StoredTrial) -> Protocol:
    """Return the protocol of a trial as it was fixed."""
    kept = dict(trial.protocol["protocol"])
    kept.pop("order")  # it follows from the seed
    first, second = (
        Arm(arm["name"], tuple(Portion(**food) for food in arm["foods"]), tuple(arm["levers"]))
        for arm in kept.pop("arms")
    )
    return Protocol(arms=(first, second), **kept)


def stand(tx: Transaction, person: Person, trial: StoredTrial, until: datetime) -> Standing:
    """Return where a trial stands by the servings from its beginning up to `until`, or to its end."""
    protocol = read_protocol(trial)
    begun, ended = trial.agreed_at, trial.ended
    until = until if ended is None else min(until, ended.at)
    found = [] if begun is None else occasions_between(tx, person, begun, max(until, begun))
    newest = tx.readings.last_at(person.id)
    waiting = {
        serving.entry_id
        for serving, _ in found
        if serving.curve is None and (newest is None or newest < serving.at + CURVE)
    }
    course = follow(protocol, _offer(tx, person, trial.protocol["foods"], found, waiting))
    areas = {s.entry_id: s.curve.net_area_2h for s, _ in found if s.curve is not None}
    pairs: list[tuple[float, float]] = []
    for first, second in course.pairs:
        if first not in areas or second not in areas:
            break
        pairs.append((areas[first], areas[second]))
    verdict = judge(protocol, pairs, over=ended is not None)
    return Standing(trial, protocol, course, verdict, frozenset(waiting), tuple(pairs))


def _offer(
    tx: Transaction,
    person: Person,
    foods: Mapping[str, str],
    found: Sequence[tuple[Serving, Logged]],
    waiting: set[int],
) -> list[Offered]:
    if not found:
        return []
    first, last = found[0][0].at, found[-1][0].at
    around = Around.of(tx, person, first, last)
    notes = [
        (one.at, one.id, one.entry.nutrients.carbs_g or 0.0)
        for one in tx.log.between(person.id, ("meal",), first - BEFORE, last + CURVE + _MINUTE)
        if isinstance(one.entry, Meal)
    ]
    sensors = [
        one.at
        for one in tx.log.between(person.id, ("sensor",), None, None)
        if isinstance(one.entry, Sensor) and one.entry.what == "started"
    ]
    names = {food: name for name, food in foods.items()}
    offered = []
    for serving, logged in found:
        meal = logged.entry
        assert isinstance(meal, Meal)
        grams: dict[str, float] = {}
        carbs: dict[str, float] = {}
        for item in meal.items:
            name = names.get(food_of(item), item.name)
            grams[name] = grams.get(name, 0.0) + item.grams
            held = None if item.nutrients is None else item.nutrients.carbs_g
            carbs[name] = carbs.get(name, 0.0) + (held or 0.0)
        before, beside = _eaten_around(serving, notes)
        offered.append(
            Offered(
                entry_id=serving.entry_id,
                at=serving.at,
                slot=serving.slot,
                foods=grams,
                levers=frozenset(find_levers(around, serving.at, meal)),
                moves=serving.activities,
                before_min=before,
                beside_g=beside,
                carbs=carbs,
                whole=serving.curve is not None or serving.entry_id in waiting,
                why_not=serving.why_not,
                flags=() if serving.curve is None else serving.curve.flags,
                sensor=bisect_right(sensors, serving.at),
            )
        )
    return offered


def _eaten_around(
    serving: Serving, notes: Sequence[tuple[datetime, int, float]]
) -> tuple[float | None, float]:
    """Return how long before it carbohydrate was last eaten (min), and how much came after (g)."""
    others = [(at, carbs) for at, note, carbs in notes if note not in serving.entry_ids]
    before = [at for at, carbs in others if carbs >= CARBS_G and serving.at - BEFORE <= at < serving.at]
    beside = sum(carbs for at, carbs in others if serving.at <= at <= serving.at + CURVE)
    return (None if not before else (serving.at - before[-1]) / _MINUTE), beside
