"""A person's record as one FHIR R4 bundle: readings, meals, movement, nights and feelings as observations.

Readings carry the codes of LOINC (105272-9 glucose in interstitial fluid, 15074-8 in blood, both in moles a
volume), what a meal holds that of estimated intake of carbohydrate (9059-7); for the rest words are given,
since we know no code that fits. Units are those of UCUM. Who it is about is not in it: the patient has a
number only.
"""

import json
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta, tzinfo
from itertools import chain

from bot.model.entries import Activity, Feeling, Meal, Nutrients, Sleep
from bot.model.naming import title
from bot.store import Logged
from bot.store.everything import Row

Json = dict[str, object]
_LOINC, _UCUM = "http://loinc.org", "http://unitsofmeasure.org"
_GLUCOSE = {
    "sensor": ("105272-9", "Glucose [Moles/volume] in Interstitial fluid"),
    "blood": ("15074-8", "Glucose [Moles/volume] in Blood"),
}
_HELD = {
    "energy_kcal": ("Energy", "kcal"),
    "fibre_g": ("Fibre", "g"),
    "sugars_g": ("Sugars", "g"),
    "fat_g": ("Fat", "g"),
    "saturated_fat_g": ("Saturated fat", "g"),
    "protein_g": ("Protein", "g"),
}


def write_bundle(readings: Iterable[Row], entries: Sequence[Logged], zone: tzinfo) -> Iterator[bytes]:
    """Give the bundle as JSON, an entry at a time; instants carry the offset of the person's clock."""
    yield f'{{"resourceType": "Bundle", "type": "collection", "entry": [\n{_enter(_PATIENT)}'.encode()
    for resource in chain(_observe(readings, zone), _observe_notes(entries, zone)):
        yield f",\n{_enter(resource)}".encode()
    yield b"\n]}"


def _enter(resource: Json) -> str:
    name = f"urn:tablenote:{resource['resourceType']}:{resource['id']}"
    return json.dumps({"fullUrl": name, "resource": resource}, ensure_ascii=False)


_PATIENT: Json = {"resourceType": "Patient", "id": "person"}


def _observe(readings: Iterable[Row], zone: tzinfo) -> Iterator[Json]:
    for number, row in enumerate(readings):
        code, words = _GLUCOSE["blood" if row["source"] == "meter" else "sensor"]
        found = _observation(
            f"reading-{number}",
            {"coding": [{"system": _LOINC, "code": code, "display": words}], "text": "Glucose"},
            row["at"],
            zone,
        )
        if row["mmol"] is None:
            found["dataAbsentReason"] = {"text": row["flag"]}
        else:
            found["valueQuantity"] = _quantity(row["mmol"], "mmol/L")
            if row["flag"]:
                found["note"] = [{"text": row["flag"]}]
        yield found


def _observe_notes(entries: Sequence[Logged], zone: tzinfo) -> Iterator[Json]:
    for logged in entries:
        entry, name = logged.entry, f"note-{logged.id}"
        match entry:
            case Meal():
                yield {
                    **_observation(name, {"text": "Meal"}, logged.at, zone),
                    "valueString": title(entry),
                    "component": list(_components(entry.nutrients)),
                }
            case Activity():
                until = logged.at + timedelta(minutes=entry.minutes or 0)
                period = {"start": _stamp(logged.at, zone), "end": _stamp(until, zone)}
                yield {**_over(name, "Physical activity", period), "valueString": entry.what}
            case Sleep():
                ends = {"start": entry.from_at, "end": entry.to_at}
                period = {end: _stamp(at, zone) for end, at in ends.items() if at is not None}
                yield {**_over(name, "Sleep", period), "valueString": "asleep"}
            case Feeling():
                yield {
                    **_observation(name, {"text": "Feeling"}, logged.at, zone),
                    "valueString": entry.what,
                }


def _components(held: Nutrients) -> Iterator[Json]:
    if held.carbs_g is not None:
        coding = [{"system": _LOINC, "code": "9059-7", "display": "Carbohydrate intake Estimated"}]
        yield {
            "code": {"coding": coding, "text": "Carbohydrate"},
            "valueQuantity": _quantity(held.carbs_g, "g"),
        }
    for key, (words, unit) in _HELD.items():
        amount = getattr(held, key)
        if amount is not None:
            yield {"code": {"text": words}, "valueQuantity": _quantity(amount, unit)}


def _observation(name: str, code: Json, at: datetime, zone: tzinfo) -> Json:
    return {**_any(name, code), "effectiveDateTime": _stamp(at, zone)}


def _over(name: str, words: str, period: Json | dict[str, str]) -> Json:
    return {**_any(name, {"text": words}), "effectivePeriod": period}


def _any(name: str, code: Json) -> Json:
    return {
        "resourceType": "Observation",
        "id": name,
        "status": "final",
        "code": code,
        "subject": {"reference": "urn:tablenote:Patient:person"},
    }


def _quantity(value: float, unit: str) -> Json:
    return {"value": round(value, 6), "unit": unit, "system": _UCUM, "code": unit}


def _stamp(at: datetime, zone: tzinfo) -> str:
    return at.astimezone(zone).isoformat(timespec="seconds")
