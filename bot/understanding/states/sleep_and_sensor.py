"""Clauses about sleep, the sensor and its memory."""

from bot.understanding.pieces.drafts import Draft, bare_span, moment_of
from bot.understanding.pieces.pieces import Amount, Clause, Moment
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.plain_words import is_plain
from bot.understanding.words.tokens import Token


def _phrases(tag: frozenset[str]) -> tuple[frozenset[str], ...]:
    return tuple(frozenset(phrase.split()) for phrase in tag)


_LAY_DOWN = _phrases(frozenset({"lie down", "lay down"}))
_TO_BED = _phrases(TAGS.to_bed)
_ROSE = _phrases(TAGS.rose)
LAST_HOUR = 12


_SLEEP_WORDS = (TAGS.slept | TAGS.woke | TAGS.crashed | TAGS.night_sleep | {"asleep", "up", "down"}).union(
    *_TO_BED, *_ROSE, *_LAY_DOWN
)
"""Any of these is in a clause about sleep; asking first makes long notes quick to read."""


_OFF_TO_BED = TAGS.leaving | TAGS.off_to_bed


def read_sleep(clause: Clause) -> Draft | None:
    """Read sleep: "slept 23:00 to 6:30", "bed at 22:30", "woke at 6", "nap 20 min"."""
    words = set(clause.words)
    if not words & _SLEEP_WORDS:
        return None
    moment = moment_of(clause)
    minutes = next(
        (p.minutes for p in clause.pieces if isinstance(p, Amount) and p.minutes is not None), None
    )
    clocked = moment is not None and moment.has_clock
    if "awake" in words and moment is not None and moment.until is not None:
        return None
    if ("not", "slept") in zip(clause.words, clause.words[1:], strict=False) and minutes is None:
        return None  # "awake from 3 till 5, then not slept": how the night was
    if minutes is None and words & TAGS.of_a_night and (not clocked or {"sleep", "woke"} <= words):
        return None  # "couldn't sleep", "woke 3 times": how the night was
    if goes_to_bed(clause):
        return Draft(
            "sleep", clause, "bed", moment=Moment(clause.pieces[0].start, clause.pieces[-1].end, ago_min=0.0)
        )
    if words == {"lights", "out"} and not clause.moments:
        return Draft(
            "sleep", clause, "bed", moment=Moment(clause.pieces[0].start, clause.pieces[-1].end, ago_min=0.0)
        )
    hours = hours_in(clause)
    to_bed = "asleep" in words or _goes_down(clause.words, clocked) or any(said <= words for said in _TO_BED)
    if "asleep" in words and moment is None and minutes is not None:
        return Draft("sleep", clause, "nap", minutes)  # "fell asleep on the bus for 20 min"
    whole = clocked and moment is not None and moment.until is None and minutes is None
    if whole and clause.words[0] in TAGS.woke and not TAGS.until_sleep & words:
        return Draft("sleep", clause, "woke", moment=moment)  # "woke at 4 after a day sleep"
    if TAGS.slept & words:
        return _read_slept(clause, words, moment, minutes)
    edge = _edge_told(clause, words, to_bed=to_bed)
    if (
        not clocked
        and _is_hour(hours)
        and (edge == "woke" or (edge and (hours[0].about or TAGS.until_sleep & words)))
    ):
        moment = Moment(hours[0].start, hours[0].end, hour=int(hours[0].value), loose=True)
        return Draft("sleep", clause, edge, moment=moment)
    woke_now = words <= TAGS.just_woke and ("just" in words or bool(words & TAGS.am)) and not clause.moments
    if (clocked and edge) or (edge == "woke" and woke_now):
        return Draft("sleep", clause, edge or "woke", moment=moment)
    return None


def goes_to_bed(clause: Clause) -> bool:
    """Tell whether somebody says good night: "off to bed", "gonna hit the sack now"."""
    words = set(clause.words)
    to_bed = any(said <= words for said in _TO_BED) and bool(words & TAGS.leaving) and words <= _OFF_TO_BED
    return to_bed and all(m.ago_min == 0.0 for m in clause.moments)


def _is_hour(hours: list[Amount]) -> bool:
    """Tell whether bare numbers are one hour of the day: not "awake 2 to 4", not "9.5"."""
    return len(hours) == 1 and hours[0].low is None and hours[0].value <= LAST_HOUR and not hours[0].decimal


def _edge_told(clause: Clause, words: set[str], *, to_bed: bool) -> str:
    """Return which end of a sleep a clause tells of: "bed", "woke" or neither."""
    if TAGS.crashed & words and all(map(is_plain, words)):
        return "bed"
    if TAGS.until_sleep & words and words & {"up", "awake"} and not words & (TAGS.woke - {"awake"}):
        return "bed"  # "up till 2"
    return "woke" if _rises(clause, words) else "bed" if to_bed else ""


def _read_slept(
    clause: Clause, words: set[str], moment: Moment | None, minutes: float | None
) -> Draft | None:
    """Read what was said with "slept" or "nap": a span, a length, or one end of it."""
    clocked = moment is not None and moment.has_clock
    if "off" in words and clocked and moment is not None and moment.until is None and minutes is None:
        return Draft("sleep", clause, "bed", moment=moment)  # "dozed off around 5"
    bare = hours_in(clause)
    until = bool(TAGS.until_sleep & words) or clause.words[:2] == ["slept", "to"]
    if len(bare) == 1 and not clocked and until and bare[0].value <= LAST_HOUR:
        moment = Moment(bare[0].start, bare[0].end, hour=int(bare[0].value), loose=True)
        clocked = True
    elif bare and not clocked:
        moment = bare_span(bare)
    if TAGS.badly & words and minutes is None and not (moment is not None and moment.has_clock):
        return None  # "slept bad last night"
    ended = until and bool(words & {"snoozed", "dozed"})  # "snoozed till 6.30"
    one_end = clocked and moment is not None and moment.until is None and minutes is None
    if one_end and (ended or not TAGS.nap & words):
        woke = until and not TAGS.badly & words
        return Draft("sleep", clause, "woke" if woke else "bed", moment=moment)
    return Draft("sleep", clause, "nap" if TAGS.nap & words else "slept", minutes, moment=moment)


def _goes_down(words: list[str], clocked: bool) -> bool:
    """Tell whether a clause is "went down around 6", "went up at 6", "down 9.30": words for going to bed."""
    led = "down" in words[:1] or words[:2] in (["went", "down"], ["went", "up"])
    return clocked and led and set(words) <= TAGS.went_to_bed


def _rises(clause: Clause, words: set[str]) -> bool:
    """Tell whether a clause says that someone woke or got up: "woke", "up with the baby", "out of bed"."""
    if TAGS.woke & words or any(said <= words for said in _ROSE):
        return "breakfast" not in words
    first = next((word for word in clause.words if word not in TAGS.before_up), "")
    if first != "up":
        return False
    place = next(k for k, p in enumerate(clause.pieces) if isinstance(p, Token) and p.text == "up")
    timed = isinstance(next(iter(clause.pieces[place + 1 :]), None), Moment)  # "up at 4 for the market"
    return timed or all(map(is_plain, words))


def hours_in(clause: Clause) -> list[Amount]:
    """Return the bare numbers of a clause, which may be hours ("22-5 sleep")."""
    return [
        a
        for a in clause.pieces
        if isinstance(a, Amount) and not (a.unit or a.article or a.vague) and a.value >= 0
    ]


MOST_WORDS_TOO = 6
_NEW_TOO = TAGS.new | TAGS.new_too


def read_sync(clause: Clause, named: bool) -> Draft | None:
    """Read "synced", "sync done", "scanned the sensor", "read out the sensor".

    named: the note names the sensor somewhere
    """
    words = set(clause.words)
    if words & TAGS.failed and words & (TAGS.synced | {"syncing"}) and len(words) <= MOST_WORDS_TOO:
        return Draft("sync", clause, FAILED)
    valued = any(isinstance(p, Amount) and p.decimal and not p.unit for p in clause.pieces)
    if valued and words <= TAGS.scanned | TAGS.sync_too:
        return None  # "scan 7.1"
    told = bool(words & TAGS.having_synced) and all(map(is_plain, words)) and len(words) <= MOST_WORDS_TOO
    if words & TAGS.synced and (words <= TAGS.synced | TAGS.sync_too or told):
        return Draft("sync", clause, moment=moment_of(clause) or _bare_hour(clause))
    alone = words <= {"read", "out", "just"} and bool(clause.moments)  # "read out at 6:50"
    if {"read", "out"} <= words and (named or alone or words & {"sensor", "data"}):
        return Draft("sync", clause, moment=moment_of(clause))
    return None


def _bare_hour(clause: Clause) -> Moment | None:
    """Read the hour of "sync 7"."""
    hours = hours_in(clause)
    if len(hours) != 1 or hours[0].decimal or not 0 < hours[0].value <= LAST_HOUR or hours[0].size:
        return None
    return Moment(hours[0].start, hours[0].end, hour=int(hours[0].value), loose=True)


def works_now(clause: Clause, before: Draft | None) -> Draft | None:
    """Read "worked now", "ok at 2" behind a sync that failed: the sync that came off after all."""
    words = set(clause.words)
    if before is None or before.what != FAILED or not words & TAGS.worked or words & TAGS.failed:
        return None
    return Draft("sync", clause, moment=moment_of(clause)) if all(map(is_plain, words)) else None


FAILED = "failed"
"""What a draft of a sync is that did not come off: no entry, unless the next clause says that it did."""


def says_body_place(clause: Clause) -> bool:
    """Tell whether a clause only says where a sensor sits: "left upper arm", "on my right thigh"."""
    words = set(clause.words)
    return bool(words & TAGS.body_sleep) and words <= TAGS.body_sleep | TAGS.body_too


def read_sensor(clause: Clause, before: Draft | None, named: bool) -> Draft | None:
    """Read "new sensor", "sensor on", "sensor fell off"; what "replaced" is comes off and goes on.

    before: the entry said just before ("..., put a new one on"); named: the note names the sensor somewhere
    """
    words = {word.removesuffix("'s") for word in clause.words}
    moment = moment_of(clause)
    if any(isinstance(p, Amount) and (p.unit or p.decimal) for p in clause.pieces) or "days" in words:
        return None  # "sensor on for 3 days"
    if not words & TAGS.sensor:
        goes_on = before is not None and before.kind == "sensor" and bool(words & (TAGS.new | TAGS.replaced))
        if words & TAGS.still_to_come:
            return None
        known = _NEW_TOO | TAGS.replaced | TAGS.at_once
        if goes_on and before is not None and all(w in known or is_plain(w) for w in words):
            same = moment is None and bool(words & TAGS.at_once)
            return Draft("sensor", clause, "started", moment=before.moment if same else moment)
        one = any(isinstance(p, Amount) and p.value == 1 and not p.unit for p in clause.pieces)
        if words & TAGS.new and one and "on" in words and words <= _NEW_TOO | {"since"}:
            return Draft("sensor", clause, "started", moment=moment)  # "new one on since 11pm"
        if (
            before is not None
            and before.kind == "sensor"
            and words & TAGS.off
            and words & {"old", "one", "it"}
        ):
            return Draft("sensor", clause, "ended", moment=moment)
        if named and words & TAGS.came_off and "off" in words and all(map(is_plain, words - TAGS.came_off)):
            return Draft("sensor", clause, "ended", moment=moment)
        return None
    if (
        words & (TAGS.partly | TAGS.errors)
        or "alarm" in words
        or any(isinstance(p, Amount) and p.share for p in clause.pieces)
    ):
        return None  # "peeled half off"
    if words & TAGS.replaced:
        return Draft("sensor", clause, "replaced", moment=moment)
    if words & TAGS.off:
        return Draft("sensor", clause, "ended", moment=moment)
    only_when = (
        words <= TAGS.sensor | {"got", "had", "my", "the", "a"} and moment is not None and moment.has_clock
    )  # "sensor on Thursday 19:00"
    return Draft("sensor", clause, "started", moment=moment) if words & TAGS.on or only_when else None


def add_moment(draft: Draft, clause: Clause, moment: Moment | None) -> None:
    """Give a draft a time that was said behind it, and the words it was said in."""
    if draft.moment is None or (moment is not None and moment.has_clock and not draft.moment.has_clock):
        draft.moment = moment
    draft.clause = Clause((*draft.clause.pieces, *clause.pieces), draft.clause.leads, draft.clause.strong)


CUES = (
    _SLEEP_WORDS
    | TAGS.synced
    | TAGS.sync_too
    | TAGS.failed
    | TAGS.worked
    | TAGS.sensor
    | TAGS.on
    | TAGS.off
    | TAGS.replaced
    | TAGS.body_sleep
    | TAGS.body_too
) | (TAGS.came_off | _NEW_TOO | TAGS.at_once | TAGS.badly)
"""Words that belong to sleep, the sensor or its memory."""
