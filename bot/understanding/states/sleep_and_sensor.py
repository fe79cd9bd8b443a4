"""Clauses about sleep, the sensor and its memory."""

from dataclasses import replace

from bot.understanding.pieces.drafts import Draft, bare_span, moment_of
from bot.understanding.pieces.pieces import Amount, Clause, Moment
from bot.understanding.words.plain_words import is_plain
from bot.understanding.words.tokens import Token
from bot.understanding.words.wordlists import word_set

_SLEPT = word_set(
    "nodded drifted doze slept sleep nap napped sleeping snooze snoozed kip dozed siesta zz zzz zzzz schlaf "
    "mittagsschlaf geschlafen kipped napping snoozing dozing naps shuteye shut-eye winks slumber slumbered"
)
_NAP = word_set(
    "nap napped snooze snoozed kip doze dozed siesta mittagsschlaf kipped napping snoozing dozing winks"
)
_LAY_DOWN = (frozenset({"lie", "down"}), frozenset({"lay", "down"}))
_NIGHT = word_set("night overnight nights night's the my last")
_TO_BED = (
    frozenset({"bed"}),
    frozenset({"lights"}),
    frozenset({"hit", "pillow"}),
    frozenset({"out", "light"}),
    frozenset({"dropped", "off"}),
    frozenset({"drop", "off"}),
    frozenset({"calling", "night"}),
    frozenset({"called", "night"}),
    frozenset({"bedtime"}),
    frozenset({"hit", "hay"}),
    frozenset({"head", "down"}),
    frozenset({"hit", "sack"}),
    frozenset({"retired"}),
    frozenset({"turned", "in"}),
    frozenset({"turning", "in"}),
    frozenset({"laying", "down"}),
    frozenset({"lying", "down"}),
)
_WENT_TO_BED = word_set("went down up i about around at to ish then and last night this morning finally only")
_ROSE = (
    frozenset({"got", "up"}),
    frozenset({"out", "of", "bed"}),
    frozenset({"rose"}),
    frozenset({"arose"}),
    frozenset({"surfaced"}),
    frozenset({"lie", "in"}),
    frozenset({"eyes", "open"}),
    frozenset({"had", "me", "up"}),
    frozenset({"didnt", "stir"}),
    frozenset({"didn't", "stir"}),
    frozenset({"got", "me", "up"}),
)
_BEFORE_UP = word_set(
    "ok right morning so im i i'm was been got then and only just me wide now finally already again had be"
)
_UNTIL = word_set("till til until in")
_WOKE = word_set("woke awake waking wake alarm woken")
_CRASHED = word_set("crashed conked zonked dozed")
LAST_HOUR = 12
_BADLY = word_set(
    "rubbish terrible awful awfully rough lousy horribly broken interrupted "
    "ok okay fine alright good badly well poorly bad terribly great barely hardly couldn't couldnt "
    "didn't didnt no"
)
_AM = word_set("i'm im am now")
_JUST_WOKE = word_set("ok im finally and just woke got up out of bed i awake now am i'm ive i've woken")


_SLEEP_WORDS = (_SLEPT | _WOKE | _CRASHED | _NIGHT | {"asleep", "up", "down"}).union(
    *_TO_BED, *_ROSE, *_LAY_DOWN
)
"""Any of these is in a clause about sleep; asking first makes long notes quick to read."""


_OF_A_NIGHT = word_set("couldn't couldnt can't cant times twice")


_LEAVING = word_set("off heading going headed gonna calling time hitting turning about")
_OFF_TO_BED = _LEAVING | word_set(
    "to bed i'm im i am we're now night goodnight right ok well then up so for hit the hay sack pillow it in "
    "nighty my"
)


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
    if minutes is None and words & _OF_A_NIGHT and (not clocked or {"sleep", "woke"} <= words):
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
    if to_bed and not clocked and _is_hour(hours):
        day = moment or Moment(hours[0].start, hours[0].end)
        bed = replace(day, hour=int(hours[0].value), loose=True)  # "bed last night 11", "asleep until 2"
        return Draft("sleep", clause, "bed", moment=bed)
    if "asleep" in words and moment is None and minutes is not None:
        return Draft("sleep", clause, "nap", minutes)  # "fell asleep on the bus for 20 min"
    if "asleep" in words and moment is not None:
        return Draft("sleep", clause, "bed" if moment.until is None else "slept", moment=moment)
    whole = clocked and moment is not None and moment.until is None and minutes is None
    if whole and clause.words[0] in _WOKE and not _UNTIL & words:
        return Draft("sleep", clause, "woke", moment=moment)  # "woke at 4 after a day sleep"
    if _SLEPT & words:
        return _read_slept(clause, words, moment, minutes)
    edge = _edge_told(clause, words, to_bed=to_bed)
    if edge and words & _CRASHED and moment is not None and moment.until is not None:
        return Draft("sleep", clause, "nap", moment=moment)  # "conked out 8 till just now"
    if not clocked and _is_hour(hours) and (edge == "woke" or (edge and _UNTIL & words)):
        moment = Moment(hours[0].start, hours[0].end, hour=int(hours[0].value), loose=True)
        return Draft("sleep", clause, edge, moment=moment)
    woke_now = words <= _JUST_WOKE and ("just" in words or bool(words & _AM)) and not clause.moments
    if (clocked and edge) or (edge == "woke" and woke_now):
        return Draft("sleep", clause, edge or "woke", moment=moment)
    return None


def goes_to_bed(clause: Clause) -> bool:
    """Tell whether somebody says good night: "off to bed", "gonna hit the sack now"."""
    words = set(clause.words)
    to_bed = any(said <= words for said in _TO_BED) and bool(words & _LEAVING) and words <= _OFF_TO_BED
    return to_bed and all(m.ago_min == 0.0 for m in clause.moments)


def _is_hour(hours: list[Amount]) -> bool:
    """Tell whether bare numbers are one hour of the day: not "awake 2 to 4", not "9.5"."""
    return len(hours) == 1 and hours[0].low is None and hours[0].value <= LAST_HOUR and not hours[0].decimal


def _edge_told(clause: Clause, words: set[str], *, to_bed: bool) -> str:
    """Return which end of a sleep a clause tells of: "bed", "woke" or neither."""
    if _CRASHED & words and all(map(is_plain, words)):
        return "bed"
    if _UNTIL & words and words & {"up", "awake"} and not words & (_WOKE - {"awake"}):
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
    until = bool(_UNTIL & words) or clause.words[:2] == ["slept", "to"]
    if len(bare) == 1 and not clocked and until and bare[0].value <= LAST_HOUR:
        moment = Moment(bare[0].start, bare[0].end, hour=int(bare[0].value), loose=True)
        clocked = True
    elif bare and not clocked:
        moment = bare_span(bare)
    if _BADLY & words and minutes is None and not (moment is not None and moment.has_clock):
        return None  # "slept bad last night"
    ended = until and bool(words & {"snoozed", "dozed"})  # "snoozed till 6.30"
    one_end = clocked and moment is not None and moment.until is None and minutes is None
    if one_end and (ended or not _NAP & words):
        woke = until and not _BADLY & words
        return Draft("sleep", clause, "woke" if woke else "bed", moment=moment)
    return Draft("sleep", clause, "nap" if _NAP & words else "slept", minutes, moment=moment)


def _goes_down(words: list[str], clocked: bool) -> bool:
    """Tell whether a clause is "went down around 6", "went up at 6", "down 9.30": words for going to bed."""
    led = "down" in words[:1] or words[:2] in (["went", "down"], ["went", "up"])
    return clocked and led and set(words) <= _WENT_TO_BED


def _rises(clause: Clause, words: set[str]) -> bool:
    """Tell whether a clause says that someone woke or got up: "woke", "up with the baby", "out of bed"."""
    if "alarm" in words and words & {"sensor", "low", "high", "cgm"}:
        return False
    if _WOKE & words or any(said <= words for said in _ROSE):
        return "breakfast" not in words
    first = next((word for word in clause.words if word not in _BEFORE_UP), "")
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


_SYNCED = word_set(
    "pushed transferred "
    "synced sync syncd synched synch synchronised synchronized scan scanned sycned sycn uploaded "
    "syncing scans downloaded"
)
_HAVING_SYNCED = word_set("synced scanned uploaded synchronised synchronized")
_SCANNED = word_set("scan scanned scans")
_FAILED = word_set(
    "wouldn't wouldnt couldn't couldnt didn't didnt won't wont can't cant not failed fails error unable "
    "refused doesn't doesnt never forgot"
)
MOST_WORDS_TOO = 6
_SYNC_TOO = word_set(
    "done complete completed finished ok okay successfully sensor the my it just now did a ok again "
    "quick auto automatic last another first second morning evening have i've i all data readings from "
    "up and also to phone"
)
_SENSOR = word_set("sensor sensors cgm patch")
_ON = word_set(
    "new on started start starts applied inserted fresh put attached stuck activated activating fitted "
    "running warming"
)
_OFF = word_set(
    "off fell ended removed end ends finish finished expired died ripped stopped dead failed out "
    "finished lost took peeled "
    "knocked broke broken gone over gave packed quit"
)
_REPLACED = word_set("replaced replacing changed swapped swap switched change replacement")
_BODY = word_set("arm thigh leg belly stomach hip buttock chest calf side")
_BODY_TOO = word_set("left right upper lower outer inner on to the my of it's its other this time")
_CAME_OFF = word_set("ripped fell came knocked peeled tore took take pulled fallen dropped popped")
_ERRORS = word_set("alarm error errors warning message signal bluetooth")
_PARTLY = word_set("half almost nearly partly peeling loose")
_STILL_TO_COME = word_set("goes going putting getting tomorrow will")
_AT_ONCE = word_set("straight immediately directly right instantly same")
_NEW = word_set("new another next fresh second replacement")
_NEW_TOO = _NEW | word_set(
    "one on in it went put i've i a the applied inserted started attached stuck back now just then is"
)


def read_sync(clause: Clause, named: bool) -> Draft | None:
    """Read "synced", "sync done", "scanned the sensor", "read out the sensor".

    named: the note names the sensor somewhere
    """
    words = set(clause.words)
    if words & _FAILED and words & (_SYNCED | {"syncing"}) and len(words) <= MOST_WORDS_TOO:
        return Draft("sync", clause, FAILED)
    valued = any(isinstance(p, Amount) and p.decimal and not p.unit for p in clause.pieces)
    if valued and words <= _SCANNED | _SYNC_TOO:
        return None  # "scan 7.1"
    told = bool(words & _HAVING_SYNCED) and all(map(is_plain, words)) and len(words) <= MOST_WORDS_TOO
    if words & _SYNCED and (words <= _SYNCED | _SYNC_TOO or told):
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
    if before is None or before.what != FAILED or not words & _WORKED or words & _FAILED:
        return None
    return Draft("sync", clause, moment=moment_of(clause)) if all(map(is_plain, words)) else None


FAILED = "failed"
"""What a draft of a sync is that did not come off: no entry, unless the next clause says that it did."""
_WORKED = word_set("worked works work did done fine ok okay succeeded success managed went through")


def says_body_place(clause: Clause) -> bool:
    """Tell whether a clause only says where a sensor sits: "left upper arm", "on my right thigh"."""
    words = set(clause.words)
    return bool(words & _BODY) and words <= _BODY | _BODY_TOO


def read_sensor(clause: Clause, before: Draft | None, named: bool) -> Draft | None:
    """Read "new sensor", "sensor on", "sensor fell off"; what "replaced" is comes off and goes on.

    before: the entry said just before ("..., put a new one on"); named: the note names the sensor somewhere
    """
    words = {word.removesuffix("'s") for word in clause.words}
    moment = moment_of(clause)
    if any(isinstance(p, Amount) and (p.unit or p.decimal) for p in clause.pieces) or "days" in words:
        return None  # "sensor on for 3 days"
    if not words & _SENSOR:
        goes_on = before is not None and before.kind == "sensor" and bool(words & (_NEW | _REPLACED))
        if words & _STILL_TO_COME:
            return None
        known = _NEW_TOO | _REPLACED | _AT_ONCE
        if goes_on and before is not None and all(w in known or is_plain(w) for w in words):
            same = moment is None and bool(words & _AT_ONCE)
            return Draft("sensor", clause, "started", moment=before.moment if same else moment)
        one = any(isinstance(p, Amount) and p.value == 1 and not p.unit for p in clause.pieces)
        if words & _NEW and one and "on" in words and words <= _NEW_TOO | {"since"}:
            return Draft("sensor", clause, "started", moment=moment)  # "new one on since 11pm"
        if before is not None and before.kind == "sensor" and words & _OFF and words & {"old", "one", "it"}:
            return Draft("sensor", clause, "ended", moment=moment)
        if named and words & _CAME_OFF and "off" in words and all(map(is_plain, words - _CAME_OFF)):
            return Draft("sensor", clause, "ended", moment=moment)
        return None
    if (
        words & (_PARTLY | _ERRORS)
        or "alarm" in words
        or any(isinstance(p, Amount) and p.share for p in clause.pieces)
    ):
        return None  # "peeled half off"
    if words & _REPLACED:
        return Draft("sensor", clause, "replaced", moment=moment)
    if words & _OFF:
        return Draft("sensor", clause, "ended", moment=moment)
    only_when = (
        words <= _SENSOR | {"got", "had", "my", "the", "a"} and moment is not None and moment.has_clock
    )  # "sensor on Thursday 19:00"
    return Draft("sensor", clause, "started", moment=moment) if words & _ON or only_when else None


def add_moment(draft: Draft, clause: Clause, moment: Moment | None) -> None:
    """Give a draft a time that was said behind it, and the words it was said in."""
    if draft.moment is None or (moment is not None and moment.has_clock and not draft.moment.has_clock):
        draft.moment = moment
    draft.clause = Clause((*draft.clause.pieces, *clause.pieces), draft.clause.leads, draft.clause.strong)


CUES = (
    _SLEEP_WORDS
    | _SYNCED
    | _SYNC_TOO
    | _FAILED
    | _WORKED
    | _SENSOR
    | _ON
    | _OFF
    | _REPLACED
    | _BODY
    | _BODY_TOO
) | (_CAME_OFF | _NEW_TOO | _AT_ONCE | _BADLY)
"""Words that belong to sleep, the sensor or its memory."""
