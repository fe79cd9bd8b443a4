"""A trial in print, with the items of CENT 2015 [vohra2015] that it has: for a clinician, or to keep.

CENT is how trials of one person are to be reported; it changes 14 of CONSORT's 25 items. Those named here by
their numbers: 1a, the rationale, 3a, 4a, 4c and 5 as the source has them; 8, 12, 13 and 17 from memory, and
so 6, 7, 14, 20 and 21, as in CONSORT.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, datetime, tzinfo

from analysis.curves import WINDOW_MIN
from analysis.trials.accepting import BEGIN_MIN, LEAST_MIN, Course, Judged
from analysis.trials.protocol import Arm, Protocol
from analysis.trials.verdict import Difference, Verdict, judge
from analysis.units import per_mmol

Areas = Sequence[tuple[float, float]]


def write_cent(
    protocol: Protocol, course: Course, areas: Areas, *, clock: tzinfo = UTC, unit: str = "mmol/L"
) -> str:
    """Return the protocol and what came of it so far, as plain text.

    areas: signed 2-hour areas (mmol/L·min) of the first and of the second arm, of each complete pair judged
    clock: the zone of the dates; unit: "mmol/L" or "mg/dL", in which means over two hours are given
    """
    verdict = judge(protocol, areas)
    parts = [
        *_write_protocol(protocol, len(course.pairs) if course.due is None else course.due[0] + 1),
        *_write_course(protocol, course, areas, clock, unit),
        *_write_result(protocol, verdict, unit),
    ]
    return "\n".join(parts)


def _write_protocol(protocol: Protocol, begun: int) -> Iterator[str]:
    """Write what was agreed; of the order only that of the `begun` pairs, or later lots would be known."""
    first, second = protocol.arms
    more = f" and each pair to {protocol.looks[-1]}" if len(protocol.looks) > 1 else ""
    yield f"N-of-1 trial (CENT item 1a): {protocol.question}"
    yield (
        "Why in one person (rationale): what a meal does differs between people, and like servings of one "
        "person differ by chance; only repeats in this person can tell one from the other."
    )
    yield (
        f"Design (3a): up to {protocol.pairs} pairs; a pair is one serving of each arm at {protocol.slot}, "
        f"each measured for {WINDOW_MIN:.0f} min from the first bite. No run-in. Washout: "
        f"{protocol.baseline}; no carbohydrate and no exercise for {protocol.washout_min:.0f} min before the "
        f"first bite."
    )
    yield (
        "Participant and what else is taken (4a): one person who wears a glucose sensor; no diagnosis, and "
        "medicines are not recorded here."
    )
    yield "Research or care (4c): neither; a private question. No ethics committee was asked."
    yield (
        f"Arm A (5): {_write_arm(first)}. Arm B (5): {_write_arm(second)}. Grams may be off by "
        f"{_percent(protocol.within)}."
    )
    told = ", ".join("AB" if one == 0 else "BA" for one in protocol.order[:begun])
    yield (
        f"Order (8): drawn by lot for each pair before the start (seed {protocol.seed}) and told when a "
        f"serving is due{f': {told}' if told else ''}. Nobody is blinded."
    )
    yield (
        f"Outcome (6): the signed area under the glucose curve over {WINDOW_MIN:.0f} min above the level "
        f"before the first bite, given as a mean over that time. Servings are accepted or set aside by the "
        f"rules above and by whether the curve is whole and fit, before the result is seen."
    )
    yield (
        f"Sample size (7): like servings of this person were taken to vary by "
        f"{_percent(protocol.noise_cv)}. Looks: after pair {protocol.looks[0]}{more}. Of trials "
        f"whose arms do the same at most {_percent(protocol.clear.alpha)} end in a false “clear” over all "
        f"looks."
    )
    yield (
        "Methods (12): differences within pairs; an exact test by flipping their signs, as the lot could "
        "have fallen, with the share of false claims spent over the looks fixed beforehand. The lot takes "
        "care of trends over time, of correlation between servings and of what order does; carryover is "
        "kept off by the washout and cannot be tested here. Both servings of a pair come from one sensor. "
        "“No difference worth having”: two one-sided tests that neither arm is "
        f"{_percent(protocol.margin)} above the other, each with {_percent(protocol.range.alpha / 2)} over "
        "all looks."
    )


def _write_arm(arm: Arm) -> str:
    foods = " and ".join(f"{one.grams:.0f} g of {one.food}" for one in arm.foods)
    levers = f", with: {', '.join(arm.levers)}" if arm.levers else ""
    moved = any(lever.endswith("after") for lever in arm.levers)
    when = f", begun within {BEGIN_MIN:.0f} min and {LEAST_MIN:.0f} min at least" if moved else ""
    return f"{arm.name} ({foods}{levers}{when})"


def _write_course(
    protocol: Protocol, course: Course, areas: Areas, clock: tzinfo, unit: str
) -> Iterator[str]:
    """Write what was done against what was planned, and the result of each period."""
    aside = [one for one in course.judged if not one.accepted]
    yield (
        f"Done (13): {len(areas)} of up to {protocol.pairs} pairs complete and judged; {len(course.judged)} "
        f"servings offered, {len(aside)} set aside."
    )
    for one in aside:
        yield f"  {_date(one.offered.at, clock)}, set aside: {' '.join(one.reasons)}"
    if course.judged:
        first, last = course.judged[0].offered.at, course.judged[-1].offered.at
        yield f"Dates (14): {_date(first, clock)} to {_date(last, clock)}."
    on = {one.offered.entry_id: one for one in course.judged if one.accepted}
    yield f"Results of each period (17), mean over two hours in {unit}; a plot belongs to it:"
    for k, (pair, values) in enumerate(zip(course.pairs, areas, strict=False)):
        yield f"  pair {k + 1}: " + ", ".join(_periods(on, pair, values, clock, unit))


def _periods(
    on: Mapping[int, Judged], pair: tuple[int, int], values: tuple[float, float], clock: tzinfo, unit: str
) -> Iterator[str]:
    """Write the two servings of a pair in the order in which they were eaten."""
    both = zip("AB", pair, values, strict=True)
    for name, entry, area in sorted(both, key=lambda one: on[one[1]].offered.at):
        yield f"{name} {_mean(area, unit)} ({_date(on[entry].offered.at, clock)})"


def _write_result(protocol: Protocol, verdict: Verdict, unit: str) -> Iterator[str]:
    for name, arm in zip("AB", verdict.arms, strict=True):
        if arm.mean is not None:
            spread = "" if arm.sd is None else f", SD {_mean(arm.sd, unit)}"
            yield f"Arm {name}: {arm.n} servings, mean {_mean(arm.mean, unit)} {unit}{spread}."
    if verdict.difference is not None:
        said = _range(verdict.difference, 1 / WINDOW_MIN * per_mmol(unit), 1 if unit == "mg/dL" else 2)
        percent = "" if verdict.percent is None else f"; in percent of A {_range(verdict.percent, 1.0, 0)}"
        yield f"Effect (17): B minus A {said} {unit}{percent} (90 % over all looks together)."
    if verdict.p is not None and verdict.look is not None:
        yield f"Exact two-sided p at this look alone: {verdict.p:.4f}."
    yield f"Verdict: {verdict.word}. {verdict.why}"
    yield (
        "What it cannot say (20, 21): anything about other people, other meals, or health; a difference of "
        "glucose over two hours is not by itself good or bad. Not a medical device."
    )


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _range(found: Difference, per: float, digits: int) -> str:
    estimate, low, high = (f"{per * x:+.{digits}f}" for x in (found.estimate, found.low, found.high))
    return f"{estimate} ({low} to {high})".replace("-", "−")


def _mean(area: float, unit: str) -> str:
    return f"{area / WINDOW_MIN * per_mmol(unit):.{1 if unit == 'mg/dL' else 2}f}".replace("-", "−")


def _date(at: datetime, clock: tzinfo) -> str:
    return at.astimezone(clock).strftime("%Y-%m-%d %H:%M")
