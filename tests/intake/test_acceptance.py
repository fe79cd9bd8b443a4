"""The files of this folder, good and bad, each with what is expected of it in expected.json."""

import json
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from bot.intake import read_file
from bot.model.errors import AskFile, BadFile
from tests.intake.cases import CASES
from tests.intake.make_files import EXPECTED, FOLDER, write_expected
from tests.intake.writing import MGDL

WANTED = json.loads(EXPECTED.read_text(encoding="utf-8"))
PACKED = {".gz", ".zip"}  # how these turn out depends on the machine's compressor
HALF_A_MG = 0.5 / MGDL + 1e-9  # values in whole mg/dL are up to half of one away


def read(name: str, wanted: dict):
    options = dict(wanted.get("options", {}))
    zone = ZoneInfo(options.pop("zone", "Europe/Vienna"))
    now = options.pop("now", None)
    data = (FOLDER / name).read_bytes()
    return read_file(data, name, zone=zone, now=now and datetime.fromisoformat(now), **options)


@pytest.mark.parametrize("name", [name for name in WANTED if "readings" in WANTED[name]])
def test_a_good_file_gives_its_readings(name):
    wanted = WANTED[name]
    found = read(name, wanted)
    assert [f"{r.at:%Y-%m-%dT%H:%M:%SZ}" for r in found.readings] == [at for at, _ in wanted["readings"]]
    assert [r.mmol for r in found.readings] == pytest.approx(
        [v for _, v in wanted["readings"]], abs=HALF_A_MG
    )
    assert [[f"{each.at:%Y-%m-%dT%H:%M:%SZ}", each.what] for each in found.limits] == wanted.get("limits", [])
    assert found.flagged == len(found.limits)
    assert found.skipped == wanted.get("skipped", 0), found.problems
    assert found.duplicates == wanted.get("duplicates", 0)
    assert list(found.specimens) == wanted.get("specimens", [])
    assert found.unit == wanted.get("unit", found.unit)
    for said in wanted.get("warns", []):
        assert any(said in warning for warning in found.warnings), found.warnings
    for said in wanted.get("problems", []):
        assert any(said in problem.what for problem in found.problems), found.problems


@pytest.mark.parametrize("name", [name for name in WANTED if "says" in WANTED[name]])
def test_a_bad_file_is_refused_or_asked_about(name):
    wanted = WANTED[name]
    with pytest.raises(BadFile) as caught:
        read(name, wanted)
    sentence = str(caught.value)
    assert wanted["says"] in sentence
    assert "\n" not in sentence
    assert len(sentence) < 260
    if "options_offered" in wanted:
        assert isinstance(caught.value, AskFile)
        assert list(caught.value.options) == wanted["options_offered"]
        assert caught.value.about == wanted["about"]
        assert sentence.endswith("?")
    else:
        assert sentence.endswith(".")


def test_the_folder_is_what_its_script_writes():
    assert EXPECTED.read_text(encoding="utf-8") == write_expected()
    assert {case.name for case in CASES} == {path.name for path in FOLDER.iterdir()}
    assert len(CASES) == len(WANTED) >= 40
    for case in CASES:
        if Path(case.name).suffix not in PACKED:
            assert (FOLDER / case.name).read_bytes() == case.data, case.name
