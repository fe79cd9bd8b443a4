"""What went with a feeling, in words: the finding, how sure it is, what tells more."""

from collections.abc import Collection, Mapping, Sequence

from analysis.feelings import LEAST_BLOCK, LOOKS, FeltWith
from bot.model.naming import join
from bot.model.units import GlucoseUnit
from bot.reply import numbers

MOST_TOLD = 4
_UNSTEADY = frozenset({"shaky", "dizzy"})
_HOW = (
    "Say “tired”, “shaky” or “clear-headed” when you notice it, and not only at meals: from "
    f"{LOOKS[0]} days with a feeling on I set it beside your readings."
)
TO_A_CLINICIAN = (
    "Feeling shaky or faint again and again belongs in front of a doctor, whatever a sensor reads."
)


def felt(
    found: Sequence[FeltWith],
    noted: Mapping[str, int],
    asked: Sequence[str],
    unit: GlucoseUnit,
    read: Collection[str] = (),
) -> str:
    """Say what went with the feelings asked for, or with all of them.

    noted: how often each was noted; asked: their names, none = all; read: those with readings
    """
    wanted = [name for name in noted if name in asked or not asked]
    if not wanted:
        what = f"I have no note of feeling {join(list(asked))}" if asked else "I have no feeling noted"
        others = f" What I do have is {join(list(noted))}." if noted else ""
        return f"I can't tell yet: {what}.{others} {_HOW}"
    lines = [
        _one([one for one in found if one.feeling == name], name, noted[name], unit, read=name in read)
        for name in sorted(wanted, key=lambda name: -noted[name])[:MOST_TOLD]
    ]
    if sum(one.days >= LOOKS[0] for one in found if one.kind == "level") > 1:
        lines.append("The more feelings I look at, the more a finding must stand out; that is counted in.")
    if _UNSTEADY & {*wanted}:
        lines.append(TO_A_CLINICIAN)
    return "\n".join(lines)


def _one(found: Sequence[FeltWith], name: str, noted: int, unit: GlucoseUnit, *, read: bool) -> str:
    times = "once" if noted == 1 else f"{noted} times"
    if not found and read:
        return (
            f"Feeling {name}: noted {times}, but too few days around it have readings: like moments of at "
            f"least {LEAST_BLOCK} days of one sensor are what I set it beside."
        )
    if not found:
        return f"Feeling {name}: noted {times}, never with readings around it, so I can't set it beside any."
    days = max(one.days for one in found)
    head = f"Feeling {name}, noted {times}, on {numbers.count(days, 'day')} with readings: "
    if days < LOOKS[0]:
        return f"{head}too early to judge. {_HOW}"
    told = [one for one in found if one.told]
    if told:
        said = join([f"glucose {_size(one, unit)} (likely {_range(one, unit)})" for one in told])
        return (
            f"{head}{said}, beside like moments of other days. That is beyond chance; whether it comes of "
            "it, or both of something else, I can't know."
        )
    level = next((one for one in found if one.kind == "level"), None)
    anything = f": its level was anything from {_range(level, unit)}" if level is not None else ""
    look = max(found, key=lambda one: one.days).next_look
    more = f" I'll look again at {look} days with it." if look is not None else ""
    return (
        f"{head}no link that I can tell from chance, neither with the level of glucose nor with its rise or "
        f"fall{anything}.{more}"
    )


def _size(one: FeltWith, unit: GlucoseUnit) -> str:
    much = numbers.difference_with_unit(abs(one.estimate), unit)
    if one.kind == "level":
        return f"was about {much} {'lower' if one.estimate < 0 else 'higher'}"
    return (
        f"was {'falling faster or rising less' if one.estimate < 0 else 'rising faster or falling less'}, "
        + (f"by about {much} an hour,")
    )


def _range(one: FeltWith, unit: GlucoseUnit) -> str:
    """Return the interval in words: 0.4 mmol/L lower to 0.3 higher, 0.3 to 0.9 mmol/L lower."""
    ends = [numbers.difference_with_unit(abs(end), unit).split()[0] for end in (one.low, one.high)]
    down, up = ("lower", "higher") if one.kind == "level" else ("down", "up")
    if one.low < 0 < one.high:
        return f"{ends[0]} {unit} {down} to {ends[1]} {up}"
    near, far = (ends[1], ends[0]) if one.high <= 0 else ends
    return f"{near} to {far} {unit} {down if one.high <= 0 else up}"
