"""Clauses about movement: "walked 10 min", "a brisk 20-minute walk after lunch"."""

from bot.entries import Effort
from bot.understanding.drafts import Draft, moment_of
from bot.understanding.pieces import Amount, Clause, Moment

_ACTIVITIES: dict[str, tuple[str, Effort]] = {}
for _forms, _what, _effort in (
    ("walk walked walking walks walkd wlaked wakled strolled stroll strolling steps", "walk", "light"),
    ("hike hiked hiking", "hike", "moderate"),
    ("run ran running jog jogged jogging", "run", "moderate"),
    ("cycle cycled cycling bike biked biking bicycle rode spinning", "cycle", "moderate"),
    ("swim swam swimming pool", "swim", "moderate"),
    ("row rowed rowing", "row", "moderate"),
    ("ski skied skiing snowboarding skating", "ski", "moderate"),
    ("climbed climbing bouldering", "climb", "moderate"),
    ("gym workout training exercise exercised exercising trained crossfit circuits", "workout", "moderate"),
    ("weights lifting", "weights", "moderate"),
    ("hiit", "HIIT", "hard"),
    ("yoga", "yoga", "light"),
    ("pilates", "pilates", "light"),
    ("stretching stretched stretches", "stretching", "light"),
    ("dance danced dancing zumba", "dance", "moderate"),
    ("stairs", "stairs", "moderate"),
    ("squats pushups situps", "exercises", "moderate"),
    ("football tennis badminton basketball volleyball padel", "sport", "moderate"),
    ("gardening gardened", "gardening", "light"),
    ("housework hoovering hoovered cleaning vacuuming vacuumed", "housework", "light"),
):
    _ACTIVITIES |= {form: (_what, _effort) for form in _forms.split()}  # type: ignore[misc]

_EFFORTS: dict[str, Effort] = {
    "easy": "light",
    "gentle": "light",
    "slow": "light",
    "slowly": "light",
    "leisurely": "light",
    "light": "light",
    "brisk": "moderate",
    "briskly": "moderate",
    "moderate": "moderate",
    "steady": "moderate",
    "fast": "moderate",
    "quick": "moderate",
    "hard": "hard",
    "intense": "hard",
    "tough": "hard",
    "vigorous": "hard",
    "sprint": "hard",
    "hiit": "hard",
}
_RAN_NO_RUN = frozenset({"out", "late", "errands"})
_BEFORE_AFTER = frozenset({"before", "after", "afterwards", "later", "beforehand", "earlier"})

LONGEST_MIN = 24 * 60
"""No movement is longer than a day (min)."""


def read_activity(clause: Clause) -> Draft | None:
    """Read movement: "walked 10 min", "a brisk 20-minute walk after lunch", "cycled 18:00 to 18:30"."""
    words = clause.words
    known = [(w, words[i + 1] if i + 1 < len(words) else "") for i, w in enumerate(words) if w in _ACTIVITIES]
    known = [(w, following) for w, following in known if following not in _RAN_NO_RUN]
    if not known:
        return None
    what, effort = _ACTIVITIES[known[0][0]]
    said = next((_EFFORTS[w] for w in words if w in _EFFORTS), None)
    moment = moment_of(clause)
    lengths = [p.minutes for p in clause.pieces if isinstance(p, Amount) and p.minutes is not None]
    minutes = lengths[0] if lengths else None
    if minutes is None and moment is not None and moment.side and moment.after_min is not None:
        minutes, moment = abs(moment.after_min), _without_offset(moment)
    if moment is None:
        word = next((w for w in words if w in _BEFORE_AFTER), "")
        if word:
            side = "before" if word in ("before", "beforehand") else "after"
            start, end = clause.pieces[0].start, clause.pieces[-1].end
            # "walked 30 min 20 min after": the second length is when it began.
            after_min = lengths[1] if side == "after" and len(lengths) > 1 else None
            moment = Moment(start, end, side=side, after_min=after_min)
    if minutes is not None and not 0 < minutes <= LONGEST_MIN:
        return Draft("activity", clause, what, ask="How many minutes was that? Say it like “walked 10 min”.")
    return Draft("activity", clause, what, minutes, said or effort, moment=moment)


def _without_offset(moment: Moment) -> Moment:
    return Moment(moment.start, moment.end, side=moment.side, side_slot=moment.side_slot)
