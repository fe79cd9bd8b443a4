from dataclasses import FrozenInstanceError
from datetime import date, time
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import create_engine, func, select

from bot.model.entries import Concern, Correction, Fact
from bot.model.messages import Document, Outgoing
from bot.store import Card, OpenFile, open_store
from bot.store.tables import metadata
from tests.bot.store.samples import DEPOT, NOW, ONLY_SQLITE, TRAM, add, ensure, later, meal, readings


def test_a_new_person_gets_the_defaults_and_keeps_their_settings(store):
    with store.begin() as tx:
        assert tx.people.get(TRAM) is None
        new = tx.people.ensure(TRAM, zone="Europe/Vienna", unit="mg/dL", at=NOW)
    assert new.zone == ZoneInfo("Europe/Vienna")
    assert (new.unit, new.created_at) == ("mg/dL", NOW)
    assert (new.quiet_from, new.quiet_to) == (time(23), time(6, 30))
    assert (new.sync_lead_min, new.memory_min) == (60, 480)
    with store.begin() as tx:
        assert tx.people.ensure(TRAM, zone="UTC", unit="mmol/L", at=later(5)) == new
    with pytest.raises(FrozenInstanceError):
        new.unit = "mmol/L"


def test_settings_change_and_stay(store):
    with store.begin() as tx:
        ensure(tx)
        changed = tx.people.update(TRAM, zone="Asia/Kathmandu", quiet_to=time(6, 30), memory_min=600)
        assert tx.people.get(TRAM) == changed
    with store.read() as tx:
        assert tx.people.get(TRAM) == changed
        assert changed.zone.key == "Asia/Kathmandu"
        assert (changed.quiet_to, changed.memory_min) == (time(6, 30), 600)
        assert tx.people.get(DEPOT).memory_min == 480
        assert [p.id for p in tx.people.all()] == [TRAM, DEPOT]


@pytest.mark.parametrize("zone", ["Mars/Olympus", "", "../etc/passwd"])
def test_a_zone_that_is_none_is_refused(tx, zone):
    with pytest.raises(ValueError, match=r"zone|ZoneInfo"):
        tx.people.ensure("new", zone=zone, unit="mmol/L", at=NOW)
    with pytest.raises(ValueError, match=r"zone|ZoneInfo"):
        tx.people.update(TRAM, zone=zone)
    assert tx.people.get("new") is None


def test_nobody_cannot_be_changed(tx):
    with pytest.raises(KeyError):
        tx.people.update("nobody", memory_min=1)


def fill(tx, person: str, secret: str) -> None:
    assert tx.invitations.take(tx.invitations.make(NOW), person, NOW)
    """Leave something of a person in every table."""
    update_id = f"u-{person}"
    ensure(tx, person)
    tx.inbox.add(f"raw-{person}", person, secret, NOW)
    logged = add(tx, meal(secret), update_id, person=person)
    tx.log.amend(logged.id, meal(secret + "!"), update_id=update_id, at=NOW, what="words")
    tx.files.put(
        OpenFile(0, person, secret, secret.encode(), False, "column", (secret,), secret, None, None), later(9)
    )
    tx.files.keep_choice(person, secret, "column", secret)
    tx.readings.add(person, readings(3), source="file", at=NOW, update_id=update_id, name=secret)
    tx.reminders.plan(person, "check", later(120), logged.id)
    tx.outbox.put(Outgoing(person, secret, document=Document(secret, secret.encode())), at=NOW)
    tx.cards.keep(Card(person, NOW, later(9), 1, secret, secret))
    tx.photos.put_with(tx.photos.add(person, secret.encode(), at=NOW, message_id=secret), logged.id)
    tx.pending.ask(person, secret, logged.id, NOW, later(10))
    tx.tokens.make(person, NOW)
    tx.posts.keep(person, secret, secret, {"said": secret}, NOW)
    tx.shifts.set(person, secret, time(20, 30), time(4))
    tx.shifts.plan(person, date(2026, 3, 9), secret)
    tx.shifts.begin(person, date(2026, 3, 2), secret)
    tx.words.teach(person, secret, "meal", meal(secret, None), NOW)
    tx.facts.keep(person, Fact("avoids", secret, secret), NOW)
    tx.first_hour.begin(person, [secret], NOW)
    tx.first_hour.keep_sample(person, update_id)
    tx.comparisons.keep(person, secret, 0.5, NOW)
    tx.cautions.say(person, Concern("low"), NOW)
    tx.journal.begin(person, update_id, NOW)
    tx.words.forget(person, secret)
    tx.words.teach(person, secret, "meal", meal(secret, None), NOW)
    tx.trials.step(tx.trials.propose(person, {"question": secret}, NOW), "agreed", update_id, NOW)
    tx.shares.offer(person, secret, NOW)
    tx.asked.put(person, secret, logged.id, [(secret, Correction("undo", said=secret))], NOW)
    tx.rules.add(person, secret, NOW)
    tx.private.mark(person, logged.id)


def count_rows(url: str) -> dict[str, int]:
    engine = create_engine(url)
    with engine.connect() as connection:
        counts = {
            table.name: connection.scalar(select(func.count()).select_from(table))
            for table in metadata.sorted_tables
        }
    engine.dispose()
    return counts


def test_erase_leaves_nothing_of_a_person_and_all_of_another(url):
    store = open_store(url)
    with store.begin() as tx:
        fill(tx, DEPOT, "rye")
    of_one = count_rows(url)
    assert all(of_one.values()), "each table should hold something, or this proves nothing"
    with store.begin() as tx:
        fill(tx, TRAM, "semolina")
    with store.begin() as tx:
        tx.people.erase(TRAM)
        assert tx.people.get(TRAM) is None
    store.close()
    assert count_rows(url) == of_one
    again = open_store(url)
    with again.read() as tx:
        assert [p.id for p in tx.people.all()] == [DEPOT]
        assert tx.log.last(TRAM) == []
        assert tx.readings.count(TRAM) == 0
        assert tx.log.last(DEPOT)[0].entry.said == "rye!"
    again.close()


@ONLY_SQLITE
def test_erased_words_are_gone_from_the_disk(store, db_file):
    secret = "a bowl of semolina with quince"
    with store.begin() as tx:
        fill(tx, TRAM, secret)
    assert secret.encode() in read_disk(db_file)
    with store.begin() as tx:
        tx.people.erase(TRAM)
    assert secret.encode() not in read_disk(db_file)


def read_disk(db_file) -> bytes:
    """The file and all that SQLite keeps beside it."""
    return b"".join(file.read_bytes() for file in db_file.parent.glob(db_file.name + "*"))


def test_erasing_is_undone_with_its_transaction(store):
    with store.begin() as tx:
        fill(tx, TRAM, "semolina")

    def erase_and_break() -> None:
        with store.begin() as tx:
            tx.people.erase(TRAM)
            raise RuntimeError("power cut")

    with pytest.raises(RuntimeError, match="power cut"):
        erase_and_break()
    with store.read() as tx:
        assert tx.log.last(TRAM)[0].entry.said == "semolina!"


def test_ids_of_erased_entries_are_not_given_again(store):
    with store.begin() as tx:
        fill(tx, TRAM, "semolina")
        old = tx.log.last(TRAM)[0].id
    with store.begin() as tx:
        tx.people.erase(TRAM)
    with store.begin() as tx:
        ensure(tx)
        assert add(tx, meal(), person=DEPOT).id > old
