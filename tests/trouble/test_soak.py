"""The soak finds what grows, and runs through."""

from dataclasses import replace

import pytest

from tests.trouble import soak
from tests.trouble.soak import BOUNDS, Look, beyond, grown

FLAT = Look(at_s=0, memory_mb=200, drawing_mb=200, open_files=30, threads=5, database_mb=4, updates=1000)


def test_what_stays_is_fine_and_what_the_record_needs_too() -> None:
    assert beyond(grown([FLAT] * 30)) == []
    written = [replace(FLAT, database_mb=0.004 * n, updates=n) for n in range(1, 31)]
    assert beyond(grown(written)) == []


@pytest.mark.parametrize("name", ["memory_mb", "open_files", "threads", "database_mb"])
def test_what_grows_is_named(name: str) -> None:
    grows = [replace(FLAT, **{name: getattr(FLAT, name) * (1 + 0.5 * n)}) for n in range(30)]
    assert beyond(grown(grows)) == [name if name in BOUNDS else "bytes_an_update"]


def test_a_short_one_breaks_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    wrong = soak.run(minutes=0.15, a_second=6, seed=2, every_s=1)
    assert set(wrong) <= set(BOUNDS)  # it is still warming up
    assert 'tablenote_updates_total{kind="text"}' in capsys.readouterr().out
