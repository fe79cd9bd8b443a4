import pytest
from sqlalchemy import insert
from sqlalchemy.exc import IntegrityError

from bot.store.reminders import AT_ONCE
from bot.store.tables import reminders
from tests.bot.store.samples import DEPOT, NOW, TRAM, add, ensure, later, meal


def kinds_and_times(reminders):
    return [(r.kind, r.due_at) for r in reminders]


def test_planning_again_changes_nothing_and_planning_anew_moves(tx):
    for due_at in (later(60), later(60), later(30), later(90)):
        tx.reminders.plan(TRAM, "sync", due_at)
    (only,) = tx.reminders.pending(TRAM)
    assert (only.person, only.kind, only.due_at, only.entry_id) == (TRAM, "sync", later(90), None)
    assert (only.state, only.settled_at) == ("pending", None)


def test_each_entry_has_its_own(tx):
    one, two = add(tx, meal(), "a"), add(tx, meal(), "b")
    tx.reminders.plan(TRAM, "check", later(120), one.id)
    tx.reminders.plan(TRAM, "check", later(110), two.id)
    tx.reminders.plan(TRAM, "check", later(100))
    tx.reminders.plan(TRAM, "sync", later(90))
    tx.reminders.plan(DEPOT, "sync", later(1))
    assert [(r.kind, r.entry_id) for r in tx.reminders.pending(TRAM)] == [
        ("sync", None),
        ("check", None),
        ("check", two.id),
        ("check", one.id),
    ]
    tx.reminders.cancel(TRAM, "check")
    tx.reminders.cancel(TRAM, "check", two.id)
    assert [(r.kind, r.entry_id) for r in tx.reminders.pending(TRAM)] == [("sync", None), ("check", one.id)]


def test_what_is_due_comes_in_order_and_bounded(tx):
    for i in range(AT_ONCE + 5):
        person = f"tg:{100 + i}"
        ensure(tx, person)
        tx.reminders.plan(person, "sync", later(100 - i))
    due = tx.reminders.due(later(100))
    assert len(due) == AT_ONCE
    assert [r.due_at for r in due] == sorted(r.due_at for r in due)
    assert due[0].due_at == later(100 - AT_ONCE - 4)
    first = due[0].due_at
    assert [r.due_at for r in tx.reminders.due(first)] == [first], "due at this very instant counts"
    assert tx.reminders.next_due_at() == first


def test_only_those_served(tx):
    ensure(tx, "local", "Local", "tg_x")
    for i, person in enumerate(("local", "Local", "tg_x", TRAM, DEPOT)):
        tx.reminders.plan(person, "sync", later(i))

    def served(serves):
        return [r.person for r in tx.reminders.due(later(9), serves)]

    assert served("tg:%") == [TRAM, DEPOT]
    assert served("local") == ["local"]
    assert len(served("%")) == 5
    assert tx.reminders.next_due_at("tg:%") == later(3)
    assert tx.reminders.next_due_at("nobody") is None


def test_a_settled_reminder_is_not_planned_again_for_its_instant(tx):
    for state in ("sent", "dropped"):
        tx.reminders.plan(TRAM, state, later(60))
        (reminder,) = tx.reminders.pending(TRAM)
        tx.reminders.mark([reminder.id], state, later(61))
        tx.reminders.plan(TRAM, state, later(60))
        assert tx.reminders.pending(TRAM) == []
        assert tx.reminders.due(later(99)) == []
    assert tx.reminders.next_due_at() is None
    tx.reminders.plan(TRAM, "sent", later(90))
    assert kinds_and_times(tx.reminders.pending(TRAM)) == [("sent", later(90))]
    tx.reminders.plan(TRAM, "sent", later(60))
    assert tx.reminders.pending(TRAM) == []


def test_a_cancelled_reminder_can_be_planned_again(tx):
    tx.reminders.plan(TRAM, "sync", later(60))
    tx.reminders.cancel(TRAM, "sync")
    tx.reminders.plan(TRAM, "sync", later(60))
    assert kinds_and_times(tx.reminders.pending(TRAM)) == [("sync", later(60))]


def test_the_last_one_sent(tx):
    assert tx.reminders.last_sent(TRAM, "sync") is None
    for due, state in ((10, "sent"), (20, "sent"), (30, "dropped")):
        tx.reminders.plan(TRAM, "sync", later(due))
        tx.reminders.mark([tx.reminders.pending(TRAM)[0].id], state, later(due + 1))
    last = tx.reminders.last_sent(TRAM, "sync")
    assert (last.due_at, last.settled_at, last.state) == (later(20), later(21), "sent")
    assert tx.reminders.last_sent(TRAM, "check") is None


def test_the_table_itself_holds_one_pending_of_each(tx):
    """What two processes plan at once cannot become two reminders."""
    tx.reminders.plan(TRAM, "sync", later(60))
    twin = insert(reminders).values(person=TRAM, kind="sync", due_at=later(61), state="pending")
    with pytest.raises(IntegrityError, match=r"(?i)unique"):
        tx.reminders._connection.execute(twin)


def test_a_reminder_survives_a_restart(store, url):
    with store.begin() as tx:
        ensure(tx)
        tx.reminders.plan(TRAM, "sync", NOW)
    store.close()
    with store.begin() as tx:
        assert kinds_and_times(tx.reminders.due(later(600))) == [("sync", NOW)]


def test_what_was_said_at_once_is_known_and_counted(tx):
    for n in range(4):
        tx.reminders.add_sent(TRAM, "rise", later(n * 90), later(n))
    assert [r.due_at for r in tx.reminders.sent_since(TRAM, "rise", later(2))] == [later(180), later(270)]
    assert tx.reminders.count_sent(TRAM, "rise", 3) == 3
    assert tx.reminders.count_sent(TRAM, "sync", 3) == 0


def test_what_was_planned_since_is_known_pending_or_settled(tx):
    assert not tx.reminders.is_planned_since(TRAM, "later", NOW)
    tx.reminders.plan(TRAM, "later", later(30))
    assert tx.reminders.is_planned_since(TRAM, "later", NOW)
    tx.reminders.mark([tx.reminders.pending(TRAM)[0].id], "sent", later(30))
    assert tx.reminders.is_planned_since(TRAM, "later", NOW)
    assert not tx.reminders.is_planned_since(TRAM, "later", later(30))


def test_what_falls_due_soon_is_found_for_one_person(tx):
    ensure(tx, DEPOT)
    for person, minutes in ((TRAM, 5), (TRAM, 15), (DEPOT, 5)):
        tx.reminders.plan(person, f"k{minutes}", later(minutes))
    assert [(r.person, r.kind) for r in tx.reminders.due_along(TRAM, later(10))] == [(TRAM, "k5")]
