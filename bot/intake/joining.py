"""The tables and the kinds of readings of one file, put together."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from typing import Literal, TypeVar

from bot.intake.headings import glucose_score
from bot.intake.rows import Rows, to_instant
from bot.intake.tables import RowProblem
from bot.intake.values import Flag
from bot.model.entries import Reading
from bot.model.errors import AskFile
from bot.model.units import GlucoseUnit

T = TypeVar("T")

MOST_APART = 20
"""Two columns are one glucose while at most one in so many of their pairs is apart."""

_MOST_PROBLEMS = 5


@dataclass(frozen=True, slots=True)
class Limit:
    """An instant at which the value was below or above what is measured, so that there is no number."""

    at: datetime
    what: Literal["low limit", "high limit"]
    specimen: str = ""


@dataclass(frozen=True)
class FileReadings:
    """What was read from one file.

    instants, mmol: the readings in order of time, each instant once for the sensor and once for values of
    blood: µs since 1970, and mmol/L
    unit: what the file was in
    columns: what was taken for "time" (and "date", "offset"), "glucose", "blood" and "unit", and what they
    came from
    flagged: how many `limits` there are: markers such as LO and HI, which are not turned into numbers
    skipped: rows that gave no reading; duplicates: rows whose instant an earlier row had already given
    problems: one for each kind of skipped row, the most frequent first
    warnings: what was assumed, in words
    specimens: what each reading was measured in, in their order ("interstitial", "capillary", "plasma",
    "blood", "body fluid" or ""); empty where the file does not say
    """

    instants: tuple[int, ...]
    mmol: tuple[float, ...]
    unit: GlucoseUnit
    columns: dict[str, str]
    flagged: int
    skipped: int
    duplicates: int
    problems: tuple[RowProblem, ...]
    warnings: tuple[str, ...]
    limits: tuple[Limit, ...] = ()
    specimens: tuple[str, ...] = ()

    @cached_property
    def readings(self) -> tuple[Reading, ...]:
        """The readings as entries."""
        return tuple(
            [Reading(mmol, to_instant(at)) for at, mmol in zip(self.instants, self.mmol, strict=True)]
        )


@dataclass(slots=True)
class Part:
    """One table, or the rows of one kind in it, as it was read.

    warnings: what was assumed; sure, label: the score of its glucose's heading, and how the table is called
    blood: whether it is of values of blood; problems: of all rows of the table, with its first part
    """

    rows: Rows
    unit: GlucoseUnit
    columns: dict[str, str]
    warnings: list[str]
    sure: int
    label: str
    blood: bool
    problems: list[RowProblem] = field(default_factory=list)


@dataclass(slots=True)
class _Kind:
    """The readings of one kind: by instant, their markers, and their specimens."""

    found: dict[int, float]
    limits: dict[int, Flag]
    specimens: dict[int, str]
    duplicates: int


def drop_other_quantities(parts: list[Part]) -> list[Part]:
    """Of several tables keep those about glucose, by their names and the words of their headings."""
    if len({part.label for part in parts}) < 2:
        return parts
    scores = [glucose_score(part.label) for part in parts]
    named = [part for part, score in zip(parts, scores, strict=True) if max(score, part.sure) >= 2]
    return named or [part for part, score in zip(parts, scores, strict=True) if score >= 0] or parts


def join(parts: Sequence[Part], name: str, passed: Sequence[str]) -> FileReadings:
    """Return the parts of one file as one; AskFile when two of them do not agree."""
    main = parts[0]
    kinds = [
        _merge(each, name) for blood in (False, True) if (each := [p for p in parts if p.blood is blood])
    ]
    warnings = list(dict.fromkeys(note for part in parts for note in part.warnings))
    labels = list(dict.fromkeys(part.label for part in parts))
    if len(labels) > 1:
        warnings.insert(0, "read together: " + ", ".join(f"“{label}”" for label in labels[:5]))
    problems = sorted((p for part in parts for p in part.problems), key=lambda problem: -problem.rows)
    instants, mmol, specimens = _in_order(kinds)
    limits = sorted(
        (at, flag.what, kind.specimens.get(at, "")) for kind in kinds for at, flag in kind.limits.items()
    )
    return FileReadings(
        instants=instants,
        mmol=mmol,
        unit=main.unit,
        columns=main.columns,
        flagged=len(limits),
        skipped=sum(part.rows.skipped for part in parts),
        duplicates=sum(kind.duplicates for kind in kinds),
        problems=tuple(problems[:_MOST_PROBLEMS]),
        warnings=(*warnings, *passed),
        limits=tuple(Limit(to_instant(at), what, specimen) for at, what, specimen in limits),
        specimens=specimens,
    )


def _merge(parts: Sequence[Part], name: str) -> _Kind:
    """Return parts of one kind together; what is in several of them counts once."""
    rows = parts[0].rows
    kind = _Kind(rows.found, rows.limits, rows.specimens, rows.duplicates)
    for part in parts[1:]:
        rows = part.rows
        common = kind.found.keys() & rows.found.keys()
        apart = [at for at in common if abs(kind.found[at] - rows.found[at]) > 0.1]
        if len(apart) * MOST_APART > len(common):
            labels = (parts[0].label, part.label)
            if labels[0] == labels[1]:
                labels = (parts[0].columns["glucose"], part.columns["glucose"])
            raise AskFile(
                f"{name}: “{labels[0]}” and “{labels[1]}” hold different values for the same times; "
                "which one should I take?", "column", labels, " | ".join(labels),
            )  # fmt: skip
        kind.duplicates += rows.duplicates + len(common) + len(kind.limits.keys() & rows.limits.keys())
        # in place: the work of a part does not grow with what came before it
        _add(rows.found, kind.found)
        _add(rows.specimens, kind.specimens)
        _add(rows.limits, kind.limits)
    kind.limits = {at: flag for at, flag in kind.limits.items() if at not in kind.found}
    return kind


def _add(more: Mapping[int, T], known: dict[int, T]) -> None:
    for at, each in more.items():
        known.setdefault(at, each)


def _in_order(kinds: Sequence[_Kind]) -> tuple[tuple[int, ...], tuple[float, ...], tuple[str, ...]]:
    """Return instants, values and specimens of all kinds by time; no specimens where none is said."""
    instants: list[int] = []
    mmol: list[float] = []
    specimens: list[str] = []
    said = any(kind.specimens for kind in kinds)
    for kind in kinds:
        order = sorted(kind.found)
        instants += order
        mmol += [kind.found[at] for at in order]
        if said:
            specimens += [kind.specimens.get(at, "") for at in order]
    if len(kinds) > 1:
        places = sorted(range(len(instants)), key=instants.__getitem__)
        instants, mmol = [instants[i] for i in places], [mmol[i] for i in places]
        specimens = [specimens[i] for i in places] if said else []
    return tuple(instants), tuple(mmol), tuple(specimens)
