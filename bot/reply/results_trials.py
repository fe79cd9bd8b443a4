"""Trials in words: the plan to agree to, which arm is due, what counts, how it stands, what came out."""

from collections.abc import Sequence

from analysis.habits.published import PUBLISHED
from analysis.trials.accepting import BEGIN_MIN, LEAST_MIN, Course, Judged, names_plates
from analysis.trials.protocol import FEWEST, Arm, Plan, Protocol
from analysis.trials.verdict import Difference, Verdict
from bot.model.entries import Fact
from bot.model.naming import join
from bot.reply import numbers

BASELINE = "about the same hour, on a day like any other"
_MOVED = {"walk": "a walk", "chores": "chores", "exercise": "exercise"}
_ASK_FIRST = "If you take medicine for glucose or are pregnant, ask a clinician before you begin."
_FALSE = 20
"""Where nothing differs, a claim by the bounds is made in at most one of so many trials."""


def plan(protocol: Protocol, chances: Plan, cautions: Sequence[str], why: str, *, own_noise: bool) -> str:
    """Say in one message what is agreed to: question, arms, conditions, order, looks, what stays untold."""
    first, second = protocol.arms
    vary = "your own meals vary" if own_noise else "meals vary in published studies"
    rest = "nothing else of carbohydrate is on the plate"
    if not names_plates(protocol):
        rest = "what you eat with it holds as much carbohydrate both times"
    meal = "" if protocol.slot in protocol.question else f", for {protocol.slot}"
    lines = [
        f"A test: {protocol.question}{meal}.{why}",
        f"• One way: {_arm(first, second)}.",
        f"• The other: {_arm(second, first)}.",
        f"• Up to {protocol.pairs} pairs, a serving a day on days that suit you. The lot, drawn now, says "
        "which way comes first in each pair.",
        f"• Each time {protocol.baseline}, with nothing of carbohydrate and no exercise in the "
        f"{numbers.minutes(protocol.washout_min)} before. Amounts may be {100 * protocol.within:.0f} % off; "
        f"{rest}. What doesn't fit I set aside, and say so before its curve.",
        f"• I'll look after pair {FEWEST} and each one from there, by bounds fixed now: if "
        "nothing differs, I "
        f"say “clear” in at most 1 of {_FALSE} tests.",
        f"• What it may miss: as {vary} (by about {100 * protocol.noise_cv:.0f} %), {protocol.pairs} pairs "
        f"find a difference of 30 % in {_of_ten(chances.power_30)} tests, one of 15 % in "
        f"{_of_ten(chances.power_15)}.",
        *cautions,
        "Shall we?",
    ]
    return "\n".join(lines)


def _of_ten(chance: float) -> str:
    return f"{round(10 * chance)} of 10"


def _arm(arm: Arm, other: Arm) -> str:
    held = join([f"{numbers.grams(food.grams)} {food.food}" for food in arm.foods])
    mine, others = ([food.food for food in each.foods] for each in (arm, other))
    missing = [food for food in others if food not in mine] if set(mine) & set(others) else []
    parts = [held, *([f"without {join(missing)}"] if missing else [])]
    parts += [_with_lever(lever) for lever in arm.levers]
    parts += [_without_lever(lever) for lever in other.levers if lever not in arm.levers]
    return ", ".join(parts)


def _with_lever(lever: str) -> str:
    moved, _, when = lever.partition(" ")
    if moved not in _MOVED:
        return lever if lever == "vegetables first" else f"with {lever}"
    if when == "before":
        return f"after {_MOVED[moved]} of at least {LEAST_MIN:.0f} min"
    return (
        f"then {_MOVED[moved]} of at least {LEAST_MIN:.0f} min, begun within {BEGIN_MIN:.0f} min of the "
        "first bite"
    )


def _without_lever(lever: str) -> str:
    moved, _, when = lever.partition(" ")
    if moved not in _MOVED:
        return "in any other order" if lever == "vegetables first" else f"without {lever}"
    return f"and no walk or exercise {'before it' if when == 'before' else 'for two hours'}"


def cautions(lever: str, facts: Sequence[Fact]) -> list[str]:
    """Return what to take care of in a trial of a lever, with what the person told of themselves."""
    known = PUBLISHED.get(lever)
    if (known is None or not known.caution) and lever.partition(" ")[0] not in _MOVED:
        return []
    said = [f"Take care: {known.caution}."] if known is not None and known.caution else []
    told = [fact.value or fact.what for fact in facts if fact.what in ("medicine", "pregnancy")]
    if told:
        return [*said, f"You told me of {join(told)}: please ask your clinician before you begin."]
    return [*said, _ASK_FIRST]


def question(protocol: Protocol) -> str:
    """Word what a trial asks."""
    first, second = (arm.name for arm in protocol.arms)
    return f"Does {second} give a smaller rise over two hours than {first}, for {protocol.slot}?"


def due(protocol: Protocol, course: Course) -> str:
    """Say which arm is due today, and why the last serving did not count, if that is why it is due again."""
    assert course.due is not None
    pair, arm = course.due
    mine = protocol.arms[arm]
    how = _arm(mine, protocol.arms[1 - arm])
    said = f"Test, pair {pair + 1} of {protocol.pairs}: {mine.name} today ({how})."
    last = course.judged[-1] if course.judged else None
    if last is None or last.accepted:
        return said
    return f"{said} {_say_last_aside(last)}"


def _say_last_aside(last: Judged) -> str:
    why = last.reasons[0]
    return f"I set the last one aside: {why[:1].lower()}{why[1:]}"


def counted(judged: Judged, protocol: Protocol) -> str:
    """Say whether a serving counts, before its result is shown."""
    if judged.accepted:
        return f"Test: this counts, in pair {judged.pair + 1} as {protocol.arms[judged.arm].name}."
    return f"Test: I set this one aside. {' '.join(judged.reasons)}"


def progress(protocol: Protocol, course: Course, verdict: Verdict, waiting: int) -> str:
    """Say how far a trial is, and no more of its result than the looks allow."""
    aside = sum(not one.accepted for one in course.judged)
    lines = [f"Test, {protocol.question}: {len(course.pairs)} of {protocol.pairs} pairs complete."]
    if aside:
        lines.append(f"{numbers.count(aside, 'serving')} set aside.")
    if course.judged and not course.judged[-1].accepted:
        lines.append(_say_last_aside(course.judged[-1]))
    if waiting:
        lines.append(f"{numbers.count(waiting, 'curve')} still to come: please sync.")
    if verdict.look is None:
        lines.append(f"I'll first look after pair {FEWEST}, so there is no result to tell yet.")
    else:
        lines.append(result(protocol, verdict))
    if course.due is not None:
        pair, arm = course.due
        lines.append(f"Next, in pair {pair + 1}: {protocol.arms[arm].name}.")
    return " ".join(lines)


def trial_headline(protocol: Protocol, verdict: Verdict) -> str:
    """Say what the picture of a trial answers, in one sentence."""
    if verdict.word in ("clear", "leaning"):
        change = "less" if verdict.difference is not None and verdict.difference.estimate < 0 else "more"
        said = f"{protocol.arms[1].name}: {change} rise, {verdict.word} after {verdict.pairs} pairs"
    else:
        said = f"{protocol.question}: {verdict.word}"
    return said[:1].upper() + said[1:]


def result(protocol: Protocol, verdict: Verdict) -> str:
    """Say what the last look allows: the finding, how sure it is, what would tell more."""
    first, second = (arm.name for arm in protocol.arms)
    of = f"After {numbers.count(verdict.pairs, 'pair')}"
    change, likely = _change(verdict)
    if verdict.word == "clear":
        return (
            f"{of}, clear: {second} gives {change} rise over two hours than {first}{likely}. If nothing "
            f"differed, I would say so in at most 1 of {_FALSE} tests. It holds for this {protocol.slot} as "
            "you ate it; another meal takes a test of its own."
        )
    if verdict.word == "no difference worth having":
        return (
            f"{of}, no difference worth having: whatever there is stays below {100 * protocol.margin:.0f} %"
            f"{likely}. Take whichever you like; of other meals this says nothing."
        )
    more = (
        f"Up to {numbers.count(verdict.to_go, 'more pair')} may tell."
        if verdict.to_go
        else "All pairs agreed are done; a new test of its own could tell more, this one can't."
    )
    if verdict.pairs < protocol.pairs and not verdict.to_go:
        more = f"It ended before all {protocol.pairs} pairs were done; a new test could tell more."
    if verdict.word == "leaning":
        return (
            f"{of}, leaning but not clear: {second} seems to give {change} rise than {first}{likely}. {more}"
        )
    return f"{of}, too early to judge: it may go either way{likely}. {more}"


def _change(verdict: Verdict) -> tuple[str, str]:
    """Return how much less or more, and the likely range in brackets; "" where no percent can be given."""
    percent = verdict.percent
    if percent is None:
        less = verdict.difference is not None and verdict.difference.estimate < 0
        return ("less" if less else "more"), ""
    return f"about {_percent(percent.estimate)}", f" (likely {_range(percent)})"


def _range(percent: Difference) -> str:
    low, high = sorted((percent.low, percent.high))
    if round(low) < 0 < round(high):
        return f"{_percent(low)} to {_percent(high)}"
    near, far = sorted((abs(low), abs(high)))
    return f"{near:.0f} to {far:.0f} % {'less' if high <= 0 else 'more'}"


def _percent(value: float) -> str:
    return f"{abs(value):.0f} % {'less' if value < 0 else 'more'}"


def over(protocol: Protocol, verdict: Verdict) -> str:
    """Say what came out of a trial that was judged; notes that were changed since may leave less of it."""
    said = f"Test, {protocol.question}: it is over."
    if verdict.decided_at is None and verdict.pairs < protocol.pairs:
        said = f"{said} Notes it was judged by were changed or taken out since; by what is left:"
    return f"{said} {result(protocol, verdict)}"


def stopped(protocol: Protocol, verdict: Verdict) -> str:
    """Say honestly what is left of a trial that was ended early."""
    done = f"{verdict.pairs} of {protocol.pairs} pairs complete"
    said = f"The test of {protocol.question} is ended, with {done}."
    if verdict.look is None:
        return f"{said} Nothing can be said yet: fewer than {FEWEST} pairs can't be told from chance."
    return f"{said} {result(protocol, verdict)}"
