from bot.model.messages import Button, Document, Outgoing, PictureSpec, show_pictures
from bot.reply.reactions import react
from bot.store.tables import outbox
from tests.bot.store.samples import DEPOT, NOW, TRAM, add, later, meal

FULL = Outgoing(
    TRAM,
    "Noted ☕ breakfast <b>",
    buttons=(Button("Fix amounts", "amounts:1"), Button("Undo", "undo:1")),
    picture=PictureSpec("week", "week-1", since=NOW, until=later(60)),
    document=Document("report.html", b"\x00\xff<html>"),
    replaces="81",
    reminder=True,
    answers_to="80",
    silent=True,
    pinned=True,
    unpins="12",
)


def test_a_message_comes_back_as_it_was(tx):
    stored = tx.outbox.put(FULL, at=NOW, update_id="u1")
    assert stored.id is not None
    assert tx.outbox.unsent() == [stored]
    logged = add(tx, meal())
    curve = Outgoing(TRAM, "", picture=PictureSpec("curve", "c", entry_id=logged.id), entry_id=logged.id)
    tx.outbox.put(curve, at=NOW)
    assert tx.outbox.recent(TRAM, 1)[0].picture == curve.picture


def test_an_album_and_a_reaction_come_back_as_they_were(tx):
    two = (PictureSpec("curve", "c", entry_id=1), PictureSpec("day", "d", since=NOW, until=later(60)))
    album = tx.outbox.put(show_pictures(Outgoing(TRAM, "Two"), *two), at=NOW)
    mark = tx.outbox.put(react(TRAM, "80", "synced"), at=NOW)
    assert tx.outbox.unsent() == [album, mark]
    assert tx.outbox.pictures_of(TRAM, album.id) == two
    assert (album.kind, mark.kind, FULL.kind) == ("message", "reaction", "edit")


def test_a_comparison_keeps_its_sides_and_rows_of_earlier_versions_are_readable(tx):
    spec = PictureSpec("compare", "c", groups=(("porridge, “warm”", (1, 2)), ("toast", (3,))))
    tx.outbox.put(Outgoing(TRAM, "", picture=spec), at=NOW)
    assert tx.outbox.recent(TRAM, 1)[0].picture == spec
    old = {"kind": "week", "name": "w", "entry_id": None, "since": NOW.isoformat(), "until": NOW.isoformat()}
    tx.outbox._connection.execute(outbox.update().values(picture=old))
    assert tx.outbox.recent(TRAM, 1)[0].picture == PictureSpec("week", "w", since=NOW, until=NOW)


def test_a_settled_message_is_not_sent_again(tx):
    sent, too, unsure, failed, left = (tx.outbox.put(Outgoing(TRAM, text), at=NOW) for text in "abcde")
    tx.outbox.sent({sent.id: "501", too.id: "502"}, at=later(1))
    tx.outbox.uncertain(unsure.id, "timed out", later(1))
    tx.outbox.failed(failed.id, "blocked", later(1))
    tx.outbox.sent({}, at=later(1))
    assert tx.outbox.unsent() == [left]


def test_a_message_cut_off_while_it_is_sent_goes_out_once_more_and_no_more(tx):
    message, waits, refused = (tx.outbox.put(Outgoing(TRAM, text), at=NOW) for text in "abc")
    for one in (message, refused):
        tx.outbox.attempt(one.id)
    tx.outbox.refused(refused.id)
    assert [tx.outbox.unsent() for _ in range(3)] == [[waits, refused]] * 3
    assert tx.outbox.recent(TRAM, 9) == [refused, waits, message]


def test_only_what_waits_is_looked_at(tx):
    waits, sent = (tx.outbox.put(Outgoing(TRAM, text), at=NOW) for text in "ab")
    tx.outbox.sent({sent.id: "1"}, at=later(1))
    assert [tx.outbox.queued_at(key) for key in (waits.id, sent.id, 99)] == [NOW, None, None]


def test_only_those_served_are_touched(tx):
    theirs = tx.outbox.put(Outgoing("local", "a"), at=NOW)
    ours = tx.outbox.put(Outgoing(TRAM, "b"), at=NOW)
    for one in (theirs, ours):
        tx.outbox.attempt(one.id)
    assert tx.outbox.unsent("tg:%") == []
    tx.outbox.refused(theirs.id)
    assert tx.outbox.unsent("local") == [theirs]


def test_what_a_message_of_ours_was_about(tx):
    logged = add(tx, meal())
    about = tx.outbox.put(Outgoing(TRAM, "Noted", entry_id=logged.id), at=NOW)
    plain = tx.outbox.put(Outgoing(TRAM, "Hello"), at=NOW)
    tx.outbox.sent({about.id: "1", plain.id: "2"}, at=NOW)
    found = [tx.outbox.entry_of(TRAM, ref) for ref in ("1", "2", "3")]
    assert found == [logged.id, None, None]
    assert tx.outbox.entry_of(DEPOT, "1") is None


def test_the_recent_ones_newest_first(tx):
    messages = [tx.outbox.put(Outgoing(TRAM, text), at=NOW) for text in "abc"]
    tx.outbox.put(Outgoing(DEPOT, "theirs"), at=NOW)
    assert tx.outbox.recent(TRAM, 2) == [messages[2], messages[1]]


def test_a_last_word_to_somebody_erased_goes_out(store):
    with store.begin() as tx:
        tx.people.erase(TRAM)
        goodbye = tx.outbox.put(Outgoing(TRAM, "All is deleted."), at=NOW)
    with store.begin() as tx:
        assert tx.outbox.unsent() == [goodbye]
