"""Clauses about sleep, the sensor and how the person felt."""

from collections.abc import Sequence

from bot.understanding.drafts import Draft, moment_of
from bot.understanding.pieces import Amount, Clause, Moment
from bot.understanding.wordlists import word_set

_SLEPT = frozenset({"slept", "sleep", "nap", "napped", "sleeping"})
_WOKE = frozenset({"woke", "awake", "waking"})


def read_sleep(clause: Clause) -> Draft | None:
    """Read sleep: "slept 23:00 to 6:30", "bed at 22:30", "woke at 6", "nap 20 min"."""
    words = clause.words
    moment = moment_of(clause)
    bare = [a for a in clause.pieces if isinstance(a, Amount) and not a.unit]
    minutes = next(
        (p.minutes for p in clause.pieces if isinstance(p, Amount) and p.minutes is not None), None
    )
    if "asleep" in words and moment is not None:
        return Draft("sleep", clause, "bed" if moment.until is None else "slept", moment=moment)
    if _SLEPT & set(words):
        if {"badly", "well", "poorly", "bad", "terribly", "great"} & set(words) and moment is None:
            return None
        nap = bool({"nap", "napped"} & set(words))
        if moment is None and bare:
            moment = _bare_span(bare)
        return Draft("sleep", clause, "nap" if nap else "slept", minutes, moment=moment)
    if moment is not None and moment.has_clock:
        if "bed" in words or "lights" in words:
            return Draft("sleep", clause, "bed", moment=moment)
        if _WOKE & set(words) or {"got", "up"} <= set(words) or words == ["up"]:
            return Draft("sleep", clause, "woke", moment=moment)
    return None


def _bare_span(bare: Sequence[Amount]) -> Moment | None:
    """Take "11 to 7" (two numbers, or a range where they rise) for hours; None when they are none."""
    first, last = bare[0], bare[-1]
    low, high = (first.value, last.value) if len(bare) == 2 else (first.low or 0.0, first.high or 0.0)
    if not (0 < low <= 24 and 0 < high <= 24 and low == int(low) and high == int(high)):
        return None
    until = Moment(last.start, last.end, hour=int(high) % 24, loose=high <= 12)
    return Moment(first.start, last.end, hour=int(low) % 24, loose=low <= 12, until=until)


_SYNCED = frozenset(
    {
        "synced",
        "sync",
        "syncd",
        "synched",
        "synch",
        "synchronised",
        "synchronized",
        "scan",
        "scanned",
        "sycned",
        "sycn",
        "uploaded",
    }
)
_SYNC_TOO = word_set("done sensor the my it just now did a ok again have i've i all data readings from")
_ON = frozenset(
    {"new", "on", "started", "start", "applied", "inserted", "fresh", "put", "attached", "changed", "swapped"}
)
_OFF = frozenset(
    {
        "off",
        "fell",
        "ended",
        "removed",
        "end",
        "expired",
        "died",
        "ripped",
        "stopped",
        "dead",
        "failed",
        "out",
        "finished",
        "lost",
        "took",
    }
)


def read_sync(clause: Clause) -> Draft | None:
    """Read "synced", "sync done", "scanned the sensor"."""
    words = set(clause.words)
    if words & _SYNCED and words <= _SYNCED | _SYNC_TOO:
        return Draft("sync", clause, moment=moment_of(clause))
    return None


def read_sensor(clause: Clause) -> Draft | None:
    """Read "new sensor", "sensor on", "sensor fell off", "took the sensor off"."""
    words = set(clause.words)
    if not words & {"sensor", "sensors"} or any(
        isinstance(p, Amount) and not p.article for p in clause.pieces
    ):
        return None
    if words & _OFF:
        return Draft("sensor", clause, "ended", moment=moment_of(clause))
    if words & _ON:
        return Draft("sensor", clause, "started", moment=moment_of(clause))
    return None


_FEELINGS = {
    "tired": "tired",
    "exhausted": "tired",
    "knackered": "tired",
    "sleepy": "sleepy",
    "drowsy": "sleepy",
    "headache": "headache",
    "migraine": "migraine",
    "stressed": "stressed",
    "stress": "stressed",
    "stressful": "stressed",
    "anxious": "anxious",
    "nervous": "anxious",
    "dizzy": "dizzy",
    "shaky": "shaky",
    "faint": "faint",
    "ill": "ill",
    "sick": "ill",
    "unwell": "ill",
    "fever": "fever",
    "feverish": "fever",
    "flu": "flu",
    "nauseous": "nauseous",
    "nausea": "nauseous",
    "bloated": "bloated",
    "hungry": "hungry",
    "starving": "hungry",
    "full": "full",
    "hungover": "hungover",
    "drunk": "alcohol",
    "alcohol": "alcohol",
    "cramps": "cramps",
    "achy": "achy",
    "stresed": "stressed",
    "period": "period",
    "good": "good",
    "great": "great",
    "fine": "fine",
    "energetic": "energetic",
    "awful": "awful",
    "terrible": "awful",
    "rubbish": "awful",
    "low": "low",
    "grumpy": "grumpy",
    "foggy": "foggy",
    "weak": "weak",
    "sweaty": "sweaty",
}
# These are feelings only after "feel" or "felt": alone they may mean anything.
_ONLY_FELT = frozenset(
    {"full", "good", "great", "fine", "low", "faint", "awful", "weak", "rubbish", "terrible"}
)
_FELT = frozenset({"feel", "felt", "feeling", "feels"})
_FEELING_TOO = word_set(
    "i i'm am was very bit so sooo really a the little quite have had got my started on day of at work "
    "today and been being still again some too after before since first slight slightly bad pretty in bed "
    "much all out pains"
)
_MOST_OTHER_WORDS = 2


def read_feeling(clause: Clause) -> Draft | None:
    """Read how the person felt: "tired", "felt dizzy at 15:00", "bad night", "slept badly"."""
    words = clause.words
    known = set(words)
    moment = moment_of(clause)
    if known & {"night", "sleep", "slept"} and known & {
        "bad",
        "badly",
        "poor",
        "poorly",
        "terribly",
        "awful",
    }:
        return Draft("feeling", clause, "bad night", moment=moment)
    if {"slept", "well"} <= known:
        return Draft("feeling", clause, "good night", moment=moment)
    felt = bool(known & _FELT)
    name = next((w for w in words if w in _FEELINGS and (felt or w not in _ONLY_FELT)), None)
    if {"a", "cold"} <= known and known <= _FEELING_TOO | {"cold"}:
        name = "ill"
    others = known - _FELT - _FEELING_TOO - set(_FEELINGS) - {"cold"}
    if name is None or len(others) > (0 if name in _ONLY_FELT else _MOST_OTHER_WORDS):
        return None
    if any(isinstance(p, Amount) and not p.vague and not p.article for p in clause.pieces):
        return None
    return Draft("feeling", clause, _FEELINGS.get(name, name), moment=moment)
