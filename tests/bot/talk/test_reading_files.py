"""Files that mean harm: refused in one sentence, nothing stored, nobody kept waiting, not tried again."""

import base64
import gzip
import json
import random
import shutil
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from bot.intake import FileReadings
from bot.model.errors import BadFile
from bot.talk import reading_files, reading_process
from bot.talk.reading_files import SMALL_BYTES, is_small, read_safely
from tests.talk import MORNING, VIENNA, Talk, readings_csv, talking

LARGE = readings_csv(MORNING.replace(day=1, month=1), [5.0 + i % 30 / 10 for i in range(15_000)])


def too_much_memory() -> bytes:
    """Write JSON that parsing turns into some 2 GB, in an archive that shrinks no more than usual."""
    noise = base64.b64encode(random.Random(1).randbytes(600_000)).decode()
    return gzip.compress(('{"x": "' + noise + '", "y": [' + "[],[]," * 16_000_000 + "[]]}").encode(), 1)


def stored(talk: Talk) -> int:
    with talk.app.store.read() as tx:
        return tx.readings.count("local")


def test_a_large_file_is_read_apart_as_it_is_read_here() -> None:
    assert not is_small(LARGE.encode())
    apart = read_safely(LARGE.encode(), "x", zone=VIENNA)
    assert apart == reading_process.answer(LARGE.encode(), "x", {"zone": VIENNA})[1]
    assert isinstance(apart, FileReadings)
    assert len(apart.instants) == 15_000


def test_what_is_packed_is_never_small() -> None:
    assert is_small(b"x" * SMALL_BYTES)
    assert not is_small(gzip.compress(b"x"))


def test_a_question_and_a_refusal_come_back_as_they_are() -> None:
    two = "time,glucose A mmol/L,glucose B mmol/L\n" + "".join(
        f"2026-03-02 {i // 60 % 24:02d}:{i % 60:02d},{5 + i % 9 / 10:.1f},{6 + i % 7 / 10:.1f}\n"
        for i in range(12_000)
    )
    with talking() as talk:
        assert "which one is it?" in talk.file(two)
        assert "new reading" in talk.press("glucose B mmol/L")
        assert "no line has a time" in talk.file("nothing at all\n" * 30_000)


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere the platform may limit no memory")
def test_a_file_beyond_the_memory_is_refused_and_nothing_is_kept() -> None:
    with talking() as talk:
        said = talk.file(too_much_memory(), "big.json.gz")
        assert said.startswith("big.json.gz takes far more time or memory than readings do")
        assert stored(talk) == 0
        assert talk.app.waiting() == []


def test_a_file_beyond_the_time_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reading_files, "WALL_S", 0.01)
    with pytest.raises(BadFile, match="takes far more time"):
        read_safely(LARGE.encode(), "x", zone=VIENNA)


@pytest.mark.skipif(sys.platform == "win32", reason="has no such limit")
def test_the_process_ends_itself_though_nobody_waits_for_it() -> None:
    endless = """
from bot.talk import reading_process
def answer():
    while True:
        pass
reading_process.CPU_S, reading_process.answer = 1, answer
reading_process.main()
"""
    root = Path(reading_process.__file__).parents[2]
    given = b"\x80\x04)."  # an empty tuple, pickled
    left = subprocess.run([sys.executable, "-c", endless], cwd=root, input=given, check=False, timeout=60)
    assert left.returncode in {-signal.SIGXCPU, -signal.SIGKILL}


def test_what_breaks_the_reader_is_refused_once_and_told_in_the_log(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def breaks(*_: object, **__: object) -> None:
        raise ZeroDivisionError("seven")

    monkeypatch.setattr(reading_process, "read_file", breaks)
    with talking() as talk:
        talk.app.accept([("local-1", "local", "raw")])
        assert talk.file("time,glucose\n2026-03-02 06:00,5.4\n").startswith("readings.csv couldn't be read")
        assert "ZeroDivisionError: seven" in caplog.text
        assert talk.app.waiting() == [], "it would break again"


def test_a_process_that_dies_refuses_the_file(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "executable", shutil.which("false"))
    with pytest.raises(BadFile, match="couldn't be read to its end"):
        read_safely(LARGE.encode(), "x", zone=VIENNA)


def test_others_are_served_while_a_large_file_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    url = f"sqlite:///{tmp_path / 'x.db'}"
    reads, go_on = threading.Event(), threading.Event()
    read_apart = reading_files._read_apart

    def slowly(*args: object) -> object:
        reads.set()
        assert go_on.wait(60)
        return read_apart(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(reading_files, "_read_apart", slowly)
    with talking(url) as talk:
        other = Talk(talk.app, talk.clock, "other")
        other._count = 1_000
        said: list[str] = []
        sender = threading.Thread(target=lambda: said.append(talk.file(LARGE)))
        sender.start()
        assert reads.wait(60)
        assert "5.4" in other.say("5.4"), "its transaction does not wait for the file"
        go_on.set()
        sender.join(60)
        assert said[0].startswith("15,000 new readings")
        assert stored(talk) == 15_000


def test_fhir_without_samples_is_told_in_words() -> None:
    observation = {
        "resourceType": "Observation",
        "status": "final",
        "code": {"coding": [{"system": "http://loinc.org", "code": "99504-3"}]},
        "effectiveDateTime": "2026-03-02T06:00:00Z",
    }
    nothing: tuple[object, ...] = ("", " ", None, 7, [])
    for data in nothing:
        samples = {"origin": {"value": 0, "unit": "mmol/L"}, "period": 300_000, "dimensions": 1, "data": data}
        with pytest.raises(BadFile, match="there are no samples"):
            read_safely(json.dumps(observation | {"valueSampledData": samples}).encode(), "x", zone=VIENNA)
