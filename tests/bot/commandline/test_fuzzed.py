"""Whatever is typed, listed or posted: an answer or one sentence about what was wrong, never a traceback."""

import json
from collections.abc import Iterator, Sequence
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.app import App
from bot.commandline.main import main
from bot.commandline.understand import explain_batch
from bot.model.clock import SettableClock
from bot.model.errors import BadFile, BadSetting
from bot.model.messages import Incoming, Post

SCRAPS = st.sampled_from(
    ["bed", "bed -23:00", "toast", "2", "-1", "5.4", "99999999999999999999", "at", "7:15", "24:00", "25:61",
     "-h", "mg/dL", "walked 10 min", "slept", "yesterday", "1/0", "½", "\u0663", "\ud800", "\x00", "\u202e",
     ",", "and", "LO", "insulin", "/erase", "a" * 300, "🍎", "ß", "١٢:٣٠"]
)  # fmt: skip
TEXTS = st.one_of(st.lists(SCRAPS, max_size=8).map(" ".join), st.text(max_size=60))
ODD = st.one_of(st.none(), st.integers(), st.floats(), st.text(max_size=20), st.lists(st.none(), max_size=2))
TIMES = st.sampled_from(
    ["2026-03-02T08:00", "2026-03-29T02:30", "0001-01-01", "9999-12-31T23:59", "9998-12-31T23:59",
     "1970-01-01", "2026-03-02T08:00+23:59", "soon", ""]
)  # fmt: skip
ZONES = st.sampled_from(["UTC", "Europe/Vienna", "Pacific/Kiritimati", "Mars/Base", "", "../../etc/passwd"])
ROWS = st.one_of(
    st.fixed_dictionaries({"id": ODD, "text": TEXTS}, optional={"now": TIMES, "tz": ZONES}).map(json.dumps),
    st.fixed_dictionaries({"id": ODD, "text": ODD}, optional={"now": ODD, "tz": ODD}).map(json.dumps),
    st.sampled_from(["{", "[]", "1", "null", '"x"', "[" * 5_000, "{}", '{"text": 1e999}']),
)
FIXED: dict[str, Any] = {"deadline": None, "derandomize": True, "suppress_health_check": list(HealthCheck)}


@given(st.lists(ROWS, min_size=1, max_size=12))
@settings(max_examples=60, **FIXED)
def test_every_line_of_a_batch_has_its_answer(tmp_path: Path, rows: list[str]) -> None:
    file = tmp_path / "batch.jsonl"
    file.write_text("\n".join(rows) + "\n", encoding="utf-8")
    found: list[dict[str, object]] = []
    with suppress(BadSetting):  # at the end, where a line was wrong
        found.extend(explain_batch(file, offers=False))
    assert len(found) == len(rows)
    errors = [each for each in found if "error" in each]
    assert all("line" in each for each in errors), errors  # ours have an id instead


def test_a_line_that_breaks_costs_no_other(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from bot.commandline import understand

    explain = understand.explain

    def breaks(text: str, **how: object) -> object:
        return 1 // 0 if text == "toast" else explain(text, **how)  # type: ignore[arg-type]

    monkeypatch.setattr(understand, "explain", breaks)
    file = tmp_path / "batch.jsonl"
    file.write_text("".join(f'{{"id": {i}, "text": "{text}"}}\n' for i, text in enumerate(["toast", "5.4"])))
    broken, read = explain_batch(file, offers=False)
    assert "ZeroDivisionError" in str(broken["error"])
    assert broken["id"] == 0
    assert read["id"] == 1
    assert read["entries"]


WORDS = st.one_of(
    st.tuples(
        st.just("understand"), TEXTS, st.just("--now"), TIMES, st.just("--tz"), ZONES, st.just("--no-offers")
    ),
    st.tuples(st.just("import"), st.sampled_from(["file.csv", "/", "none"]), st.just("--tz"), ZONES),
    st.tuples(st.just("import"), st.just("file.csv"), st.just("--unit"), TEXTS, st.just("--column"), TEXTS),
    st.tuples(st.just("analyse"), st.sampled_from(["meals", "wear", "x"]), st.just("--since"), TIMES),
    st.lists(st.one_of(SCRAPS, st.sampled_from(["--json", "--db", "--person", "import"])), max_size=4),
)  # fmt: skip


@given(
    WORDS,
    st.one_of(
        st.binary(max_size=200), st.lists(SCRAPS).map(lambda s: ";".join(s).encode("utf-8", "replace"))
    ),
)
@settings(max_examples=60, **FIXED)
def test_any_words_on_the_command_line_end_well(tmp_path: Path, words: Sequence[str], data: bytes) -> None:
    if any("\x00" in word for word in words):
        return  # no system passes such an argument on
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(tmp_path)
        patch.setenv("TABLENOTE_DB", f"sqlite:///{tmp_path / 'x.db'}")
        (tmp_path / "file.csv").write_bytes(data)
        patch.setattr("sys.argv", ["tablenote", *words])
        code: object = 0
        try:
            main()
        except SystemExit as left:  # any other exception fails the test
            code = left.code
        assert code in {None, 0, 1, 2}


@pytest.fixture(scope="module")
def app() -> Iterator[App]:
    app = App("sqlite://", zone="Europe/Vienna", clock=SettableClock(datetime(2026, 3, 2, 8, tzinfo=UTC)))
    app.receive(Incoming("local", "u1", app.clock.now(), text="hello"))
    yield app
    app.close()


BODIES = st.one_of(
    st.binary(max_size=300),
    st.lists(SCRAPS, max_size=40).map(lambda s: ";".join(s).encode("utf-8", "replace")),
    st.recursive(ODD, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(
        st.sampled_from(["time", "glucose", "readings", "resourceType", "component", "x"]),
        inner, max_size=4), max_leaves=20).map(lambda value: json.dumps(value).encode()),
    st.fixed_dictionaries({
        "resourceType": st.just("Observation"), "effectiveDateTime": TIMES,
        "code": st.one_of(ODD, st.just({"coding": [{"system": "http://loinc.org", "code": "99504-3"}]})),
        "valueSampledData": st.one_of(ODD, st.fixed_dictionaries(
            {}, optional={"data": ODD, "period": ODD, "factor": ODD, "dimensions": ODD,
                          "origin": st.one_of(ODD, st.fixed_dictionaries({"value": ODD, "unit": ODD}))})),
    }).map(lambda value: json.dumps(value).encode()),
)  # fmt: skip


@given(
    BODIES,
    st.sampled_from([None, "mmol/L", "mg/dL"]),
    st.one_of(st.none(), TEXTS),
    st.one_of(st.none(), st.booleans()),
)
@settings(max_examples=300, **FIXED)
def test_any_post_is_readings_or_a_bad_file(
    app: App, body: bytes, unit: str | None, column: str | None, day_first: bool | None
) -> None:
    post = Post("local", body, unit=unit, column=column, day_first=day_first)  # type: ignore[arg-type]
    refused, taken = "", None
    try:
        taken = app.take_post(post)
    except BadFile as error:
        refused = str(error)
    assert refused or taken is not None
    assert "couldn't be read to its end" not in refused
    assert "\n" not in refused
    json.dumps(taken and taken[0], allow_nan=False)
