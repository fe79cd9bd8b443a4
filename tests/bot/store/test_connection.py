"""What a transaction keeps of what it read is what it would read anew."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event

from bot.app import App
from bot.channels.script import play, read_script
from bot.commandline.play import demo_scripts
from bot.model.clock import SettableClock
from bot.store import Store, Transaction
from bot.store.connection import Connection
from tests.bot.store.samples import NOW, TRAM, add, later, meal


def count(store: Store, do: Callable[[], object]) -> int:
    """Return how many statements are made."""
    made: list[object] = []

    def note(*given: object) -> None:
        made.append(given[2])

    event.listen(store._engine, "before_cursor_execute", note)
    do()
    event.remove(store._engine, "before_cursor_execute", note)
    return len(made)


def meals(tx: Transaction) -> list[int]:
    return [one.id for one in tx.log.last(TRAM, ["meal"], n=9)]


def test_what_is_asked_again_is_read_once(store: Store, tx: Transaction) -> None:
    add(tx, meal())
    assert count(store, lambda: [meals(tx) for _ in range(3)]) == 1
    tx.cards.drop(TRAM)  # written elsewhere
    assert count(store, lambda: meals(tx)) == 0


def test_what_was_written_to_is_read_anew(tx: Transaction) -> None:
    first = add(tx, meal()).id
    assert meals(tx) == [first]
    second = add(tx, meal(at=later(5)), "u2").id
    assert meals(tx) == [second, first]
    tx.log.remove(second, update_id="u3", at=later(6))
    assert meals(tx) == [first]


def test_a_list_that_was_given_out_is_the_askers_own(tx: Transaction) -> None:
    add(tx, meal())
    tx.log.last(TRAM).clear()
    assert len(tx.log.last(TRAM)) == 1


def test_what_goes_with_a_deleted_row_is_read_anew(tx: Transaction) -> None:
    trial = tx.trials.propose(TRAM, {"foods": {}}, NOW)
    tx.trials.step(trial, "agreed", "u", NOW)
    assert [len(one.steps) for one in tx.trials.all(TRAM)] == [1]
    tx.people.erase(TRAM)
    assert tx.trials.all(TRAM) == []
    assert tx.trials.get(trial) is None


@pytest.mark.parametrize("path", [p for p in demo_scripts() if p.stem[0] == "4"], ids=lambda path: path.stem)
def test_in_whole_talks_nothing_kept_is_out_of_date(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    once, kept = Connection.once, 0

    def checked(self: Connection, statement: Any, read: Any, /, **values: Any) -> list[Any]:
        nonlocal kept
        kept += (statement, read, *values.values()) in self._kept
        found = once(self, statement, read, **values)
        assert found == [read(row) for row in self._connection.execute(statement, values)]
        return found

    monkeypatch.setattr(Connection, "once", checked)
    script = read_script(path)
    clock = SettableClock(script.start)
    app = App("sqlite://", zone=script.zone.key, unit=script.unit, clock=clock, cards=True)
    try:
        assert not play(script, app, clock, "local", lambda _: None).missing
    finally:
        app.close()
    assert kept > 100
