"""What a person takes along: complete, readable by others, and read back by ourselves."""

import csv
import io
import json
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from fhir.resources.R4B.bundle import Bundle  # R4B, as this library has no R4; what we use is alike in both

from bot.export.package import gather, pack, write_folder
from bot.intake.read import read_file
from bot.store.columns import to_micros
from tests.talk import MORNING, VIENNA, Talk, readings_csv, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        one.at("8:00").say("80 g oats with 200 ml milk at 7:00")
        one.say("walked 15 min at 7:40")
        one.say("finger-prick 5.6 at 7:50")
        one.say("tired")
        one.at("11:00").file(
            readings_csv(MORNING.replace(hour=6, minute=2), [5.0 + n % 20 / 10 for n in range(55)])
        )
        one.say("slept 22:30 to 6:15")
        yield one


def _files(talk: Talk) -> dict[str, bytes]:
    with talk.app.store.read() as tx:
        person = tx.people.get(talk.person)
        assert person is not None
        return {name: b"".join(content) for name, content in gather(tx, person)}


def _rows(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode())))


def test_the_bundle_is_valid_fhir(talk: Talk) -> None:
    bundle = Bundle.model_validate(json.loads(_files(talk)["record.fhir.json"]))
    with talk.app.store.read() as tx:
        held = tx.everything(talk.person)
    codes = [
        entry.resource.code.text
        for entry in bundle.entry
        if entry.resource.get_resource_type() == "Observation"
    ]
    assert codes.count("Glucose") == len(held["readings"])
    assert sorted(set(codes) - {"Glucose"}) == ["Feeling", "Meal", "Physical activity", "Sleep"]


@pytest.mark.parametrize("name", ["record.fhir.json", "readings.csv"])
def test_our_own_reader_reads_the_readings_back(talk: Talk, name: str) -> None:
    found = read_file(_files(talk)[name], name, zone=VIENNA)
    with talk.app.store.read() as tx:
        held = {(to_micros(row["at"]), row["mmol"]) for row in tx.everything(talk.person)["readings"]}
    assert set(zip(found.instants, found.mmol, strict=True)) == held


def test_the_tables_hold_every_note_food_and_meal(talk: Talk) -> None:
    files = _files(talk)
    assert {row["kind"] for row in _rows(files["notes.csv"])} == {
        "meal",
        "activity",
        "reading",
        "feeling",
        "sleep",
    }
    oats, milk = _rows(files["foods.csv"])
    assert (oats["name"], float(oats["grams"]), oats["stated"]) == ("oats", 80.0, "True")
    assert float(milk["carbs_g"]) > 5
    (meal,) = _rows(files["meals.csv"])
    assert 0 <= float(meal["evenness"]) <= 100


def test_words_that_a_spreadsheet_would_run_are_only_words(talk: Talk) -> None:
    talk.say('=HYPERLINK("http://x") pudding 50 g')
    cells = [cell for row in _rows(_files(talk)["notes.csv"]) for cell in row.values()]
    assert not [cell for cell in cells if cell.startswith(("=", "+", "@"))]


def test_the_folder_and_the_packed_file_hold_the_same(talk: Talk, tmp_path: Path) -> None:
    with talk.app.store.read() as tx:
        person = tx.people.get(talk.person)
        assert person is not None
        written = write_folder(tx, person, tmp_path)
        packed = zipfile.ZipFile(io.BytesIO(pack(gather(tx, person))))
    assert sorted(packed.namelist()) == sorted(str(file.relative_to(tmp_path)) for file in written)
    assert "report.html" in packed.namelist()
