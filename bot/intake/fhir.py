"""HL7 FHIR R4: the glucose Observations of a Bundle, of a list or of lines of resources, as a table.

Elements as in R4 Observation and Quantity and the HL7 guide "Continuous Glucose Monitoring" 1.0.0.
Only five elements are needed, so that they are read from the JSON itself, without a model of all resources.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from bot.errors import BadFile
from bot.intake.clocks import read_clock
from bot.intake.headings import glucose_score
from bot.intake.stamps import split_stamp
from bot.intake.tables import RowProblem, Table, check_rows
from bot.units import GlucoseUnit

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
    number = 0
    for number, observation in enumerate(_observations(value, 0), start=1):
        check_rows(number, name)
        for kind, cells in _read_observation(observation):
            if kind:
                known = refused.get(kind) or RowProblem(number, " ".join(cells), 0)
                refused[kind] = RowProblem(known.line, known.what, known.rows + 1)
            else:
                rows.append(cells)
                lines.append(number)
                people.add(_text(_mapping(observation.get("subject")).get("reference")))
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


def _read_observation(observation: Mapping[str, Any]) -> Iterator[tuple[str, list[str]]]:
    """Yield ("", cells) for each reading, and (a kind of trouble, [what it is]) for what gives none."""
    status = _text(observation.get("status"))
    if status in _VOID:
        yield "void", [f"marked {status}"]
        return
    at, trouble = _read_effective(observation)
    parts = [_mapping(part) for part in _sequence(observation.get("component"))]
    for part in [observation, *parts]:
        if part is observation and parts and "valueQuantity" not in part:
            continue
        specimen, other = _read_code(part, observation)
        absent = part.get("dataAbsentReason")
        if other:
            yield "code", [other]
        elif absent:
            yield "absent", [f"no value: {_name_of(absent) or 'the reason is not given'}"]
        elif trouble:
            yield "time", [trouble]
        else:
            kind, cells = _read_quantity(_mapping(part.get("valueQuantity")))
            yield kind, cells if kind else [at, *cells, specimen]


def _read_effective(observation: Mapping[str, Any]) -> tuple[str, str]:
    """Return the instant in words, or why there is none."""
    at = _text(observation.get("effectiveDateTime") or observation.get("effectiveInstant"))
    if not at:
        spread = any(f"effective{kind}" in observation for kind in ("Period", "Timing"))
        return "", "stands for a span of time, not an instant" if spread else "no effective time"
    parts = split_stamp(at)
    clock = read_clock(parts[1]) if parts else None
    if clock is None or clock[1] is None:
        return "", f"“{at[:40]}” is not a time with its offset from UTC"
    return at, ""


def _read_code(part: Mapping[str, Any], whole: Mapping[str, Any]) -> tuple[str, str]:
    """Return the specimen that the code stands for, or in words what else it codes."""
    code = _mapping(part.get("code"))
    codings = [_mapping(coding) for coding in _sequence(code.get("coding"))]
    loinc = [_text(each.get("code")) for each in codings if each.get("system") in {_LOINC, None}]
    if any(each in SUMMARY_LOINC for each in loinc):
        return "", "a summary, not a reading"
    known = next((SPECIMEN_BY_LOINC[each] for each in loinc if each in SPECIMEN_BY_LOINC), None)
    words = " ".join([_text(code.get("text")), *(_text(each.get("display")) for each in codings)])
    if known is None and glucose_score(words) < 2:
        return "", f"{words.strip()[:40] or ', '.join(loinc)[:40] or 'no code'} is not glucose"
    if known in {None, "blood", "body fluid"}:  # an own word on the specimen is more exact
        said = f"{words} {_text(_mapping(whole.get('specimen')).get('display'))}".lower()
        known = next((each for each in _SPECIMENS if each in said), known)
    return "plasma" if known == "serum" else known or "", ""


def _read_quantity(quantity: Mapping[str, Any]) -> tuple[str, list[str]]:
    value = quantity.get("value")
    if isinstance(value, bool) or not isinstance(value, int | float):
        return "no value", ["no valueQuantity and no reason for it"]
    unit = _UNITS.get(_text(quantity.get("code")).lower()) or _UNITS.get(_text(quantity.get("unit")).lower())
    if unit is None:
        shown = _text(quantity.get("code")) or _text(quantity.get("unit")) or "no unit"
        return "unit", [f"{shown[:20]} is neither mmol/L nor mg/dL"]
    return "", [f"{_text(quantity.get('comparator'))}{value}", unit]


def _name_of(concept: Any) -> str:
    code = _mapping(concept)
    codings = [_mapping(coding) for coding in _sequence(code.get("coding"))]
    texts = [_text(code.get("text"))]
    texts += [_text(each.get("display")) or _text(each.get("code")) for each in codings]
    return next((text[:40] for text in texts if text), "")


def _mapping(value: Any) -> Mapping[str, Any]:
    return value if isinstance(value, dict) else {}


def _sequence(value: Any) -> Sequence[Any]:
    return value if isinstance(value, list) else []


def _text(value: Any) -> str:
    return " ".join(value.split()) if isinstance(value, str) else ""
