"""HL7 FHIR R4: the glucose Observations of a Bundle, of a list or of lines of resources, as a table.

Elements as in R4 Observation and Quantity and the HL7 guide "Continuous Glucose Monitoring" 1.0.0.
Only five elements are needed, so that they are read from the JSON itself, without a model of all resources.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from bot.intake.clocks import read_clock
from bot.intake.headings import glucose_score
from bot.intake.stamps import split_stamp
from bot.intake.tables import LONGEST, RowProblem, Table, check_rows
from bot.model.errors import BadFile
from bot.model.units import GlucoseUnit

SPECIMEN_BY_LOINC = {
    "99504-3": "interstitial",
    "105272-9": "interstitial",
    "2345-7": "plasma",  # serum or plasma
    "14749-6": "plasma",
    "2339-0": "blood",  # this and the next three: values from memory
    "15074-8": "blood",
    "41653-7": "capillary",
    "14745-4": "body fluid",
}
SUMMARY_LOINC = {
    "97507-8", "105273-7", "97506-0", "104638-2", "104636-6", "104637-4", "97510-2", "104640-8", "104639-0",
    "104641-6", "104642-4", "106793-3",
}  # fmt: skip
HEADINGS = ["effective", "value", "unit", "specimen"]

_UNITS: dict[str, GlucoseUnit] = {"mmol/l": "mmol/L", "mg/dl": "mg/dL"}
_LOINC = "http://loinc.org"
_SPECIMENS = ("interstitial", "capillary", "plasma", "serum")
_VOID = {"entered-in-error", "cancelled"}
_DEEPEST = 4  # Bundles within Bundles
_LONGEST_SPAN = timedelta(minutes=15)
"""A value for a span up to this is the reading at its start, as sensors give one for each interval."""

_MARKERS = {"L": "LO", "U": "HI"}  # of SampledData; E is an error

Cells = tuple[str, list[str]]
"""("", the cells of a reading), or (a kind of trouble, [what it is])."""


def holds_resources(value: Any) -> bool:
    """Say whether a JSON value is a FHIR resource or a list of them."""
    first = value[0] if isinstance(value, list) and value else value
    return isinstance(first, dict) and isinstance(first.get("resourceType"), str)


def read_resources(value: Any, name: str) -> Table:
    """Return the glucose Observations as a table of HEADINGS; BadFile without any, or of two people."""
    rows: list[list[str]] = []
    lines: list[int] = []
    refused: dict[str, RowProblem] = {}
    people = set()
    specimens = dict(_specimens(value, "", 0))
    number = 0
    for number, observation in enumerate(_observations(value, 0), start=1):
        check_rows(number, name)
        whose = _text(_mapping(observation.get("subject")).get("reference"))
        for kind, cells in _read_observation(observation, specimens, name):
            if kind:
                known = refused.get(kind) or RowProblem(number, " ".join(cells), 0)
                refused[kind] = RowProblem(known.line, known.what, known.rows + 1)
            else:
                rows.append(cells)
                lines.append(number)
                people.add(whose)
    check_rows(len(rows), name)
    if not number:
        raise BadFile(f"{name} is FHIR without Observations; send a Bundle of glucose Observations.")
    if not rows:
        worst = max(refused.values(), key=lambda problem: problem.rows)
        raise BadFile(
            f"{name} holds no glucose readings: {worst.what} ({worst.rows} of {number} Observations)."
        )
    if len(people - {""}) > 1:
        raise BadFile(f"{name} holds readings of {len(people - {''})} people; send those of one person.")
    # of two at one instant the first is kept: the sensor's own goes before a finger-prick
    order = sorted(range(len(rows)), key=lambda i: rows[i][3] != "interstitial")
    rows, lines = [rows[i] for i in order], [lines[i] for i in order]
    return Table(rows, lines, "FHIR", HEADINGS, refused=tuple(refused.values()))


def _observations(value: Any, depth: int) -> Iterator[Mapping[str, Any]]:
    if isinstance(value, list) and depth <= _DEEPEST:
        for each in value:
            yield from _observations(each, depth + 1)
    elif isinstance(value, dict):
        if value.get("resourceType") == "Observation":
            yield value
        elif value.get("resourceType") == "Bundle" and depth < _DEEPEST:
            for entry in _sequence(value.get("entry")):
                yield from _observations(_mapping(entry).get("resource"), depth + 1)


def _specimens(value: Any, address: str, depth: int) -> Iterator[tuple[str, str]]:
    """Yield the words of each Specimen that stands beside or inside the Observations, by its references."""
    if isinstance(value, list) and depth <= _DEEPEST:
        for each in value:
            yield from _specimens(each, "", depth + 1)
    elif isinstance(value, dict):
        if value.get("resourceType") == "Specimen":
            words = _words_of(value.get("type"))
            yield f"Specimen/{_text(value.get('id'))}", words
            yield address, words
        elif value.get("resourceType") == "Bundle" and depth < _DEEPEST:
            for entry in map(_mapping, _sequence(value.get("entry"))):
                yield from _specimens(entry.get("resource"), _text(entry.get("fullUrl")), depth + 1)


def _read_observation(
    observation: Mapping[str, Any], specimens: Mapping[str, str], name: str
) -> Iterator[Cells]:
    """Yield what each value of an Observation gives."""
    status = _text(observation.get("status"))
    if status in _VOID:
        yield "void", [f"marked {status}"]
        return
    parts = [_mapping(part) for part in _sequence(observation.get("component"))]
    said = _read_specimen(observation, specimens)
    effective = {sampled: _read_effective(observation, sampled=sampled) for sampled in (False, True)}
    for part in [observation, *parts]:
        if part is observation and parts and not {"valueQuantity", "valueSampledData"} & part.keys():
            continue
        specimen, other = _read_code(part, said)
        absent = part.get("dataAbsentReason")
        sampled = _mapping(part.get("valueSampledData"))
        at, trouble = effective[bool(sampled)]
        if other:
            yield "code", [other]
        elif absent:
            yield "absent", [f"no value: {_words_of(absent)[:40] or 'the reason is not given'}"]
        elif trouble:
            yield "time", [trouble]
        elif sampled:
            yield from _read_samples(sampled, at, specimen, name)
        else:
            kind, cells = _read_quantity(_mapping(part.get("valueQuantity")))
            yield kind, cells if kind else [at, *cells, specimen]


def _read_specimen(observation: Mapping[str, Any], specimens: Mapping[str, str]) -> str:
    """Return the words of an Observation's specimen, its own or those of the Specimen that it refers to."""
    specimen = _mapping(observation.get("specimen"))
    words = _text(specimen.get("display"))[:LONGEST]
    reference = _text(specimen.get("reference"))
    for each in map(_mapping, _sequence(observation.get("contained"))):
        if reference == f"#{_text(each.get('id'))}":
            return f"{words} {_words_of(each.get('type'))}"
    tail = "/".join(reference.split("/")[-2:])  # an address may stand before Specimen/1
    return f"{words} {specimens.get(reference) or specimens.get(tail, '')}"


def _read_effective(observation: Mapping[str, Any], *, sampled: bool) -> tuple[str, str]:
    """Return the instant in words, or why there is none; samples begin with the span that they fill."""
    at = _text(observation.get("effectiveDateTime") or observation.get("effectiveInstant"))
    span = _mapping(observation.get("effectivePeriod"))
    if not at and span:
        start, end = _text(span.get("start")), _text(span.get("end"))
        length = _span_between(start, end)
        if not sampled and (length is None or length > _LONGEST_SPAN):
            return "", "stands for a span of time, not an instant"
        at = start
    at = at[:LONGEST]
    if not at:
        return "", "a time that repeats" if "effectiveTiming" in observation else "no effective time"
    parts = split_stamp(at)
    clock = read_clock(parts[1]) if parts else None
    if clock is None or clock[1] is None:
        return "", f"“{at[:40]}” is not a time with its offset from UTC"
    return at, ""


def _span_between(start: str, end: str) -> timedelta | None:
    try:
        return datetime.fromisoformat(end) - datetime.fromisoformat(start)
    except (ValueError, TypeError):  # no stamp, or one of the two without its offset
        return None


def _read_samples(sampled: Mapping[str, Any], at: str, specimen: str, name: str) -> Iterator[Cells]:
    """Yield the readings of SampledData: values at even distances, `L`, `U` and `E` among them."""
    origin = _mapping(sampled.get("origin"))
    zero, factor, period_ms = origin.get("value", 0), sampled.get("factor", 1), sampled.get("period")
    data = _text(sampled.get("data")).split()
    check_rows(len(data), name)
    try:
        start = datetime.fromisoformat(at)
        step = timedelta(milliseconds=float(period_ms))  # type: ignore[arg-type]
        shift, scale = float(zero), float(factor)
        start + len(data) * step
    except (TypeError, ValueError, OverflowError):
        yield "samples", ["samples without a start, a period or numbers to scale them by"]
        return
    unit = _find_unit(origin)
    if sampled.get("dimensions", 1) != 1 or unit is None or step <= timedelta(0):
        yield "samples", ["samples that are not one value at a time in mmol/L or mg/dL"]
        return
    if not data:
        yield "absent", ["no value: there are no samples"]
    for place, each in enumerate(data):
        value = _MARKERS.get(each) or _scale(each, shift, scale)
        if value:
            yield "", [(start + place * step).isoformat(), value, unit, specimen]
        else:
            yield "absent", ["no value: a sample marked as an error"]


def _scale(text: str, shift: float, scale: float) -> str:
    try:
        return f"{float(text) * scale + shift:.6g}"
    except ValueError:
        return ""


def _read_code(part: Mapping[str, Any], said: str) -> tuple[str, str]:
    """Return the specimen that the code stands for, or in words what else it codes.

    said: the words on the specimen itself
    """
    codings = [_mapping(coding) for coding in _sequence(_mapping(part.get("code")).get("coding"))]
    loinc = [_text(each.get("code")) for each in codings if each.get("system") in {_LOINC, None}]
    if any(each in SUMMARY_LOINC for each in loinc):
        return "", "a summary, not a reading"
    known = next((SPECIMEN_BY_LOINC[each] for each in loinc if each in SPECIMEN_BY_LOINC), None)
    words = _words_of(part.get("code"))
    if known is None and glucose_score(words) < 2:
        return "", f"{words[:40] or ', '.join(loinc)[:40] or 'no code'} is not glucose"
    if known in {None, "blood", "body fluid"}:  # an own word on the specimen is more exact
        text = f"{words} {said}".lower()
        known = next((each for each in _SPECIMENS if each in text), known)
    return "plasma" if known == "serum" else known or "", ""


def _read_quantity(quantity: Mapping[str, Any]) -> Cells:
    value = quantity.get("value")
    if isinstance(value, bool) or not isinstance(value, int | float):
        return "no value", ["no valueQuantity and no reason for it"]
    unit = _find_unit(quantity)
    if unit is None:
        shown = _text(quantity.get("code")) or _text(quantity.get("unit"))
        return "unit", [f"{shown[:20]} is neither mmol/L nor mg/dL"]
    return "", [f"{_text(quantity.get('comparator'))}{value}", unit]


def _find_unit(quantity: Mapping[str, Any]) -> str | None:
    """Return the unit of a Quantity, "" where it states none, None where it is not one of glucose."""
    code, unit = _text(quantity.get("code")).lower(), _text(quantity.get("unit")).lower()
    if not code and not unit:
        return ""
    return _UNITS.get(code) or _UNITS.get(unit)


def _words_of(concept: Any) -> str:
    """Return the text of a CodeableConcept and what its codings display, or else their codes."""
    code = _mapping(concept)
    codings = [_mapping(coding) for coding in _sequence(code.get("coding"))]
    texts = [_text(code.get("text")), *(_text(each.get("display")) for each in codings)]
    words = " ".join(text for text in texts if text) or " ".join(_text(each.get("code")) for each in codings)
    return words[:LONGEST]


def _mapping(value: Any) -> Mapping[str, Any]:
    return value if isinstance(value, dict) else {}


def _sequence(value: Any) -> Sequence[Any]:
    return value if isinstance(value, list) else []


def _text(value: Any) -> str:
    return " ".join(value.split()) if isinstance(value, str) else ""
