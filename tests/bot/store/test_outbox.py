import pytest

from bot.messages import Button, Document, Outgoing, PictureSpec
from tests.bot.store.samples import DEPOT, NOW, TRAM, add, later, meal

FULL = Outgoing(
    TRAM,
    "Noted ☕ breakfast <b>",
    buttons=(Button("Fix amounts", "amounts:1"), Button("Undo", "undo:1")),
    picture=PictureSpec("week", "week-1", since=NOW, until=later(60)),
    document=Document("report.html", b"\x00\xff<html>"),
    replaces="81",
    reminder=True,
)


def test_a_message_comes_back_as_it_was(unit):
    queued = unit.outbox.put(FULL, at=NOW, update_id="u1")
    assert queued.id is not None
    assert unit.outbox.unsent() == [queued]
    logged = add(unit, meal())
    curve = Outgoing(TRAM, "", picture=PictureSpec("curve", "c", entry_id=logged.id), entry_id=logged.id)
    unit.outbox.put(curve, at=NOW)
    assert unit.outbox.recent(TRAM, 1)[0].picture == curve.picture


def test_a_message_is_delivered_once(unit):
    first, second = (unit.outbox.put(Outgoing(TRAM, text), at=NOW) for text in "ab")
    assert unit.outbox.unsent() == [first, second]
    assert unit.outbox.attempt(first.id) == 1
    unit.outbox.sent(first.id, ref="501", at=later(1))
    assert unit.outbox.unsent() == [second]
    unit.outbox.uncertain(second.id, "timed out", later(1))
    assert unit.outbox.unsent() == []
    third = unit.outbox.put(Outgoing(TRAM, "c"), at=NOW)
    unit.outbox.failed(third.id, "blocked", later(1))
    assert unit.outbox.unsent() == []


def test_a_message_cut_off_in_sending_goes_out_once_more_and_no_more(unit):
    message = unit.outbox.put(Outgoing(TRAM, "a"), at=NOW)
    assert unit.outbox.attempt(message.id) == 1
    assert unit.outbox.unsent() == [message]
    assert unit.outbox.attempt(message.id) == 2
    assert unit.outbox.unsent() == []
    assert unit.outbox.recent(TRAM, 9) == [message]
    with pytest.raises(KeyError):
        unit.outbox.attempt(99)


def test_only_those_served_are_touched(unit):
    theirs = unit.outbox.put(Outgoing("local", "a"), at=NOW)
    unit.outbox.attempt(theirs.id)
    unit.outbox.attempt(theirs.id)
    ours = unit.outbox.put(Outgoing(TRAM, "b"), at=NOW)
    assert unit.outbox.unsent("tg:%") == [ours]
    unit.outbox.attempt(ours.id)
    unit.outbox.attempt(ours.id)
    assert unit.outbox.unsent("local") == []
    assert unit.outbox.unsent("tg:%") == []


def test_what_a_message_of_ours_was_about(unit):
    logged = add(unit, meal())
    about = unit.outbox.put(Outgoing(TRAM, "Noted", entry_id=logged.id), at=NOW)
    named = unit.outbox.put(Outgoing(TRAM, "Noted"), at=NOW, entry_id=logged.id)
    plain = unit.outbox.put(Outgoing(TRAM, "Hello"), at=NOW)
    assert (about.entry_id, named.entry_id, plain.entry_id) == (logged.id, logged.id, None)
    for message, ref in ((about, "1"), (named, "2"), (plain, "3")):
        unit.outbox.sent(message.id, ref=ref, at=NOW)
    found = [unit.outbox.entry_of(TRAM, ref) for ref in ("1", "2", "3", "4")]
    assert found == [logged.id, logged.id, None, None]
    assert unit.outbox.entry_of(DEPOT, "1") is None


def test_the_recent_ones_newest_first(unit):
    messages = [unit.outbox.put(Outgoing(TRAM, text), at=NOW) for text in "abc"]
    unit.outbox.put(Outgoing(DEPOT, "theirs"), at=NOW)
    assert unit.outbox.recent(TRAM, 2) == [messages[2], messages[1]]


def test_a_last_word_to_somebody_erased_goes_out(store):
    with store.begin() as unit:
        unit.people.erase(TRAM)
        goodbye = unit.outbox.put(Outgoing(TRAM, "All is deleted."), at=NOW)
    with store.begin() as unit:
        assert unit.outbox.unsent() == [goodbye]
