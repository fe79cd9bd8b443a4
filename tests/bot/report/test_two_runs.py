"""A second run months later: the report begins with it, and the first stands beside it."""

from collections.abc import Iterator
from datetime import timedelta

import pytest

from bot.answers.run_days import runs_before, start_of_run
from bot.app import App
from bot.model.clock import SettableClock
from bot.model.entries import Reading
from bot.report.sections import gather
from tests.simulated.logged import FIRST, log_weeks

SECOND = FIRST + timedelta(days=70)
END = SECOND + timedelta(days=3)


@pytest.fixture(scope="module")
def two_runs() -> Iterator[App]:
    app = App("sqlite://", zone="UTC", unit="mmol/L", clock=SettableClock(END))
    log_weeks(app.store, 5)
    with app.store.begin() as tx:
        readings = [Reading(6.0, SECOND + timedelta(minutes=5 * k)) for k in range(3 * 288)]
        tx.readings.add("local", readings, source="file", at=END, update_id="second")
    yield app
    app.close()


def test_days_that_hang_together_are_a_run(two_runs: App) -> None:
    with two_runs.store.read() as tx:
        person = tx.people.get("local")
        assert person is not None
        assert runs_before(tx, person, END) == [(FIRST, FIRST + timedelta(days=5)), (SECOND, END)]
        assert start_of_run(tx, person, END) == SECOND
        assert runs_before(tx, person, FIRST) == []
        assert start_of_run(tx, person, FIRST) == FIRST - timedelta(days=92)


def test_the_run_before_stands_beside_the_newest(two_runs: App) -> None:
    with two_runs.store.read() as tx:
        person = tx.people.get("local")
        assert person is not None
        newest, first = gather(tx, person, SECOND, END), gather(tx, person, FIRST, SECOND)
    assert newest is not None
    assert first is not None
    (beside,) = [section for section in newest.sections if section.title == "Beside your earlier run"]
    rows = {name: values for name, *values in beside.tables[0].rows}
    assert rows["Days with readings"] == ["5", "3"]
    assert rows["Mean"][1] == "6.0 mmol/L"
    assert rows["Mean"][0] != rows["Mean"][1]
    assert rows["Meals with a score"] == ["15", "0"]
    assert rows["Fibre a day"][1] == "not known"
    assert "Beside your earlier run" not in [section.title for section in first.sections]
