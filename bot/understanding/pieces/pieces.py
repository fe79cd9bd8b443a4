"""What a message is made of once its times and amounts are recognised, and small helpers to read it."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property

from bot.model.entries import Slot
from bot.understanding.words.tokens import Token


@dataclass(frozen=True, slots=True)
class Moment:
    """A time as it was said, not yet an instant. Only what was said is set.

    hour, minute: a clock time; half: "am" or "pm" when said; loose: a bare hour below 13 ("at 8"), which may
    be morning or evening; padded: written the 24-hour way ("07:15", "0715")
    days: 0 today, -1 yesterday ...; weekday: 0 Monday ... (with days, of that week); back: "last Tuesday",
    never today; on: a date
    part: morning, afternoon, evening, night or tonight
    ago_min: minutes before now; after_min: minutes after a meal ("8.1 at 45 min")
    side: "before", "during" or "after" something, "later" than what was said before; side_slot: which meal
    that is, "" for "the meal"; side_what: which movement ("an hour before the walk"); anchor: the clock time
    that after_min counts from ("2h after the 8am porridge")
    of_hour: minutes past an hour that was not said ("at half past")
    instant: a full stamp with its own offset, in ISO form
    until: where a span ends ("23:00 to 6:30")
    """

    start: int
    end: int
    hour: int | None = None
    minute: int = 0
    half: str = ""
    loose: bool = False
    padded: bool = False
    days: int | None = None
    weekday: int | None = None
    back: bool = False
    on: date | None = None
    part: str = ""
    ago_min: float | None = None
    after_min: float | None = None
    side: str = ""
    side_slot: str = ""
    side_what: str = ""
    anchor: "Moment | None" = None
    of_hour: bool = False
    instant: str = ""
    until: "Moment | None" = None

    @property
    def has_clock(self) -> bool:
        """A time of day can be told from it."""
        return self.hour is not None or self.ago_min is not None or bool(self.instant) or self.of_hour

    @property
    def has_day(self) -> bool:
        """A day was said."""
        return self.days is not None or self.weekday is not None or self.on is not None


@dataclass(frozen=True, slots=True)
class Amount:
    """How much, as it was said: `value` times `unit` ("" = so many of it).

    low, high: the ends of a range; about: "roughly"; size: small, large, heaped ...
    vague: "some", no number; article: just "a"; decimal: written with a decimal point
    share: a part of what was there ("half of it"); times: said as a factor ("x4"); implied: not said, but
    usual ("tea with milk")
    among: of how many ("two of eight wedges"); held: of all that something holds ("a 200 g pack")
    """

    start: int
    end: int
    value: float
    unit: str = ""
    low: float | None = None
    high: float | None = None
    size: str = ""
    about: bool = False
    vague: bool = False
    article: bool = False
    decimal: bool = False
    share: bool = False
    times: bool = False
    implied: bool = False
    among: float = 0.0
    held: bool = False

    @property
    def minutes(self) -> float | None:
        """A length of time in minutes, None when it is none."""
        factor = {"min": 1.0, "h": 60.0}.get(self.unit)
        return None if factor is None else self.value * factor


@dataclass(frozen=True, slots=True)
class SlotWord:
    """A meal's name: "for breakfast"."""

    start: int
    end: int
    slot: Slot


Piece = Token | Moment | Amount | SlotWord


@dataclass(frozen=True)  # no slots: its words are asked for many times, and kept
class Clause:
    """A stretch of a message between two separators.

    leads: the separators before it ("," "and" "with" "then" ...); strong: a new sentence or line
    inside: the number of the parenthesis it stands in, 0 for none
    """

    pieces: tuple[Piece, ...]
    leads: frozenset[str] = field(default=frozenset())
    strong: bool = False
    inside: int = 0

    @cached_property
    def words(self) -> list[str]:
        """Its words, in lower case."""
        return [p.text for p in self.pieces if isinstance(p, Token) and p.kind != "mark"]

    @cached_property
    def moments(self) -> list[Moment]:
        """Its times."""
        return [p for p in self.pieces if isinstance(p, Moment)]


def word_at(pieces: Sequence[Piece], i: int) -> str:
    """Return the word, number or mark at `i` as text, "" beyond the end or for anything else."""
    if 0 <= i < len(pieces):
        piece = pieces[i]
        if type(piece) is Token:  # asked for very often, and Token has no kinds of its own
            return piece.text
    return ""


def words_match(pieces: Sequence[Piece], i: int, words: Sequence[str]) -> bool:
    """Tell whether exactly these words stand at `i`."""
    return all(word_at(pieces, i + k) == word for k, word in enumerate(words))


def with_end_part(span: Moment, end: Moment, part: str) -> Moment:
    """Give a span the part of day said behind it: "9.15 till 4.20 this afternoon" began in the morning."""
    if span.half or span.part or span.padded or end.half or end.part or not 1 <= (span.hour or 0) <= 12:
        return replace(span, part=span.part or part)
    rises = ((span.hour or 0) % 12, span.minute) < ((end.hour or 0) % 12, end.minute)
    other = {"morning": "pm", "afternoon": "am"}.get(part, "")
    return replace(
        span,
        part=part if rises or not other else "",
        half="" if rises else other,
        until=replace(end, part=part),
    )
