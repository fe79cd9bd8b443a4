"""What would tell most next, in words: a short list, each serving with its reason."""

from collections.abc import Sequence

from analysis.habits.published import PUBLISHED
from analysis.plan.candidates import Kind
from analysis.plan.phases import Run
from analysis.plan.suggest import SELDOM, Plan, Suggestion
from bot.model.naming import join
from bot.model.units import GlucoseUnit
from bot.reply import numbers
from bot.reply.results_foods import TWO_HOURS_MIN, Names
from bot.reply.results_habits import TITLES

MOST_ON_PLATE, MOST_OPEN = 3, 4
LEVERS = {
    "walk after": "a walk after it",
    "walk before": "a walk before it",
    "chores after": "chores after it",
    "vegetables first": "the vegetables first",
    "vinegar": "vinegar",
    "lemon juice": "lemon juice",
}
"""What may be tried by somebody who does it already. Late meals and short nights are never suggested."""
TESTED_NAMES = {"walk after": "a walk", "walk before": "a walk before", "chores after": "chores"}
_SLOTS = {"breakfast": "at breakfast", "lunch": "at lunch", "dinner": "at dinner", "snack": "as a snack"}
_TIMES = {1: "once", 2: "twice"}
_CAREFUL = (
    "I only name meals as you have them: what to change about them is for you and whoever treats you to say."
)
_NOT_ADVICE = "This is what I'd learn most from, not advice on what is good for you."


def say(
    found: Plan, names: Names, unit: GlucoseUnit, run: Run | None, *, slot: str = "", treated: bool = False
) -> str:
    """Say where in the run one is, what would tell most next and why, and what is still open.

    slot: the list is of this meal of the day only; treated: changes of meals are left to a clinician
    """
    lines = [] if run is None else [say_phase(run)]
    if not found.occasions:
        lines.append(
            "What to try next I can't say yet: I have no meal with a curve of its own. Eat as usual, note "
            "it, sync and send me the readings."
        )
        return "\n".join(lines)
    seen = numbers.count(found.occasions, "meal")
    if found.suggestions:
        where = f" at {slot}" if slot in ("breakfast", "lunch", "dinner") else ""
        lines.append(f"From {seen} with a curve, I'd expect to learn most from these{where}, the most first:")
        lines += _number(found.suggestions, names, unit)
    else:
        where = f" for your {slot}" if slot else ""
        lines.append(
            f"From {seen} with a curve I see no serving{where} that would tell me much more: eat as you "
            "like, and note it."
        )
    lines += [line for line in (_open(found, names),) if line]
    lines += [line for line in (_CAREFUL if treated else "", _test(found.suggestions, names)) if line]
    return "\n".join([*lines, _NOT_ADVICE])


def _number(suggestions: Sequence[Suggestion], names: Names, unit: GlucoseUnit) -> list[str]:
    """List suggestions; a reason is given once."""
    lines: list[str] = []
    before = ""
    for n, one in enumerate(suggestions, 1):
        reason = why(one, names, unit)
        said = one_suggestion(one, names, unit)
        lines.append(f"{n}. {what(one, names)}, for the same reason." if reason == before else f"{n}. {said}")
        before = reason
    return lines


def say_phase(run: Run) -> str:
    """Say which day of the run it is, and what these days are for."""
    if run.day > run.days:
        return f"Day {run.day}: the {run.days} days are over, but more meals still tell more."
    for_what = {
        "usual": "the days for eating as usual, so that I see your own meals",
        "vary": "the days for trying variations",
        "settle": "the last days, for what is still open",
    }[run.phase]
    left = run.left_in_phase
    until = "today is the last of them" if left == 1 else f"{left} of them to come, today included"
    return f"Day {run.day} of {run.days}: {for_what}; {until}."


def one_suggestion(one: Suggestion, names: Names, unit: GlucoseUnit) -> str:
    """Say one serving and why it tells much."""
    return f"{what(one, names)}: {why(one, names, unit)}."


def what(one: Suggestion, names: Names) -> str:
    """Name a serving: Oats and milk without the banana, at breakfast."""
    return word_serving(one.kind, names.get(one.of, one.of), [names[food] for food in one.foods], one.slot)


def word_serving(kind: Kind, of: str, foods: Sequence[str], slot: str) -> str:
    """Name a serving of foods by their names, with its change of one of them, or its lever."""
    rest = [food for food in foods if kind != "without" or food != of]
    plate = rest[:MOST_ON_PLATE]
    if len(rest) > MOST_ON_PLATE:
        plate = [*plate[:-1], "the rest of that plate"]
    said = {
        "repeat": f"{join(plate)} again as usual",
        "without": f"{join(plate)} without the {of}",
        "alone": f"only the {of}, the rest of the plate two hours later",
        "half": f"{join(plate)} with half the {of}",
        "lever": f"{join(plate)} with {LEVERS.get(of, of)}",
    }[kind]
    when = f", {_SLOTS[slot]}" if slot in _SLOTS else ""
    return f"{said[:1].upper()}{said[1:]}{when}"


def why(one: Suggestion, names: Names, unit: GlucoseUnit) -> str:
    """Say why a serving tells much, in one sentence without its full stop."""
    if one.kind == "lever":
        said = f"{numbers.count(one.on, 'meal')} with it and {one.off} without have not settled what it does"
        known = PUBLISHED.get(one.of)
        return f"{said} (take care: {known.caution})" if known and known.caution else said
    if one.beside:
        often = f"all {one.had}" if one.shared == one.had else f"{one.shared} of its {one.had}"
        return (
            f"{names[one.of]} came with {names[one.beside]} in {often} meals, so which of them does what I "
            "can't tell"
        )
    about = names[one.about]
    if one.occasions <= SELDOM:
        return f"I saw {about} {_TIMES[one.occasions]} only"
    low, high = (numbers.signed(end / TWO_HOURS_MIN, unit).lstrip("+") for end in (one.low, one.high))
    return f"what {about} adds to the two hours I know no closer than {low} to {high} {unit}"


def _open(found: Plan, names: Names) -> str:
    """Say what is still open: foods seen seldom, pairs, habits without a verdict."""
    parts = []
    if found.seldom:
        parts.append(f"seen once or twice: {_some([names[food] for food in found.seldom])}")
    if found.unparted:
        pairs = [join([names[food] for food in pair]) for pair in found.unparted]
        parts.append(f"not told apart: {_some(pairs)}")
    if found.undecided:
        parts.append(f"too early to judge: {_some([TITLES[one.name].lower() for one in found.undecided])}")
    return f"Still unknown: {'; '.join(parts)}." if parts else ""


def _some(said: Sequence[str]) -> str:
    if len(said) <= MOST_OPEN:
        return ", ".join(said)
    return f"{', '.join(said[:MOST_OPEN])} and {len(said) - MOST_OPEN} more"


def _test(suggestions: Sequence[Suggestion], names: Names) -> str:
    """Name the words that start a test of the first change there is."""
    for one in suggestions:
        other = one.beside or next((food for food in one.foods if food != one.of), "")
        if one.kind in ("without", "alone") and other:
            main, beside = (other, one.of) if one.kind == "without" else (one.of, other)
            return f"A fair test of it: “test {names[main]} with and without {names[beside]}”."
        if one.kind == "lever":
            lever = TESTED_NAMES.get(one.of, one.of)
            return f"A fair test of it: “test {names[one.foods[0]]} with and without {lever}”."
    return ""
