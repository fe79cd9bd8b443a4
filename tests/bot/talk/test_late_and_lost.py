"""Messages tried again after a crash, messages put aside, and everything deleted from the chat."""

from datetime import timedelta

from sqlalchemy import func, select

from bot.app import MAX_STARTS
from bot.model.messages import Incoming, Outgoing
from bot.reply import fixed
from bot.store.tables import metadata
from tests.talk import MORNING, Talk, talking


def accept(talk: Talk, *update_ids: str) -> None:
    for update_id in update_ids:
        assert talk.app.accept([(update_id, talk.person, "{}")]) == [True]


def handle(talk: Talk, update_id: str, text: str, **more: str) -> list[Outgoing]:
    incoming = Incoming(talk.person, update_id, talk.clock.now(), message_id=update_id, text=text, **more)
    return talk.app.receive(incoming)


def test_an_undo_that_comes_late_does_not_take_back_what_was_noted_since() -> None:
    with talking() as talk:
        talk.say("toast at 6:30")
        accept(talk, "u1", "u2")
        talk.app.failed("u1", "it broke")
        handle(talk, "u2", "a pear at 6:55")
        (reply,) = handle(talk, "u1", "undo")
        assert "which note do you mean?" in reply.text
        assert len(talk.meals()) == 2, "nothing is taken back by guessing"


def test_a_late_undo_that_points_at_its_note_is_carried_out() -> None:
    with talking() as talk:
        talk.say("toast at 6:30", message_id="of toast")
        accept(talk, "u1", "u2")
        handle(talk, "u2", "a pear at 6:55")
        (reply,) = handle(talk, "u1", "undo", reply_to="of toast")
        assert reply.text.startswith("Taken back: breakfast (toast)")


def test_late_words_do_not_answer_a_later_question() -> None:
    with talking() as talk:
        talk.say("toast at 6:30")
        accept(talk, "u1", "u2")
        talk.app.failed("u1", "it broke")
        (press,) = [b.data for m in talk.heard for b in m.buttons if b.label == "Fix time"]
        assert "When was the first bite" in talk.send(press=press, update_id="u2")
        handle(talk, "u1", "6:10")
        assert [str(meal.at)[11:16] for meal in talk.meals()] == ["05:30"], "6:30 in Vienna, as it was"


def test_in_order_an_undo_is_an_undo() -> None:
    with talking() as talk:
        accept(talk, "u1", "u2", "u3")
        handle(talk, "u1", "toast at 6:30")
        handle(talk, "u2", "a pear at 6:55")
        (reply,) = handle(talk, "u3", "undo")
        assert reply.text.startswith("Taken back: breakfast (pear)")


def test_a_message_that_is_put_aside_is_told_once() -> None:
    with talking() as talk:
        talk.say("hello")
        accept(talk, "poison")
        for _ in range(MAX_STARTS):
            assert talk.app.waiting()
            talk.app.failed("poison", "it broke")
        assert talk.app.waiting() == []
        (told,) = talk.app.unsent()
        assert told.text == fixed.PARKED.format(when="07:00")
        assert talk.app.waiting() == []
        assert len(talk.app.unsent()) <= 1, "the same row, handed over once more"


def test_everything_is_deleted_after_a_button() -> None:
    with talking() as talk:
        talk.say("toast at 6:30")
        talk.say("5.4 at 6:40")
        talk.say("/erase")
        assert len(talk.meals()) == 1, "asked first"
        assert talk.press("Delete everything") == fixed.ERASED
        with talk.app.store.read() as tx:
            connection = tx.people._connection
            rows = {
                table.name: connection.scalar(select(func.count()).select_from(table))
                for table in metadata.sorted_tables
            }
        assert {name for name, n in rows.items() if n} <= {"outbox"}, "only the last answer is on its way"
        assert "toast" in talk.say("toast at 6:50"), "one can begin anew"


def test_an_old_button_deletes_nothing() -> None:
    with talking() as talk:
        talk.say("toast at 6:30")
        talk.say("/erase")
        old = talk.heard[-1].buttons[0].data
        talk.clock.move_to(MORNING + timedelta(minutes=62))
        assert talk.send(press=old) == fixed.ERASE_OLD
        assert talk.send(press="erase:x") == fixed.ERASE_OLD
        assert len(talk.meals()) == 1


def test_notes_of_one_minute_are_one_occasion_with_one_verdict() -> None:
    values = [5.0, 5.0, 5.1, 5.4, 5.9, 6.4, 6.8, 7.0, 6.8, 6.4, 6.0, 5.7] + [5.4, 5.2, 5.1] + [5.0] * 20
    rows = [
        f"{MORNING.replace(tzinfo=None) + timedelta(minutes=5 * (i - 4)):%Y-%m-%d %H:%M},{v}"
        for i, v in enumerate(values)
    ]
    with talking() as talk:
        talk.say("2 slices rye toast at 7:00")
        talk.say("a banana at 7:02")
        talk.at("09:30")
        said = talk.file("time,glucose mmol/L\n" + "\n".join(rows))
        curves = [m for m in talk.heard if "evenness" in m.text and m.picture is not None]
        assert len(curves) == 1
        assert "rye toast and banana" in said
        banana = talk.say("how was the banana?")
        assert banana.splitlines()[0] == curves[0].text.splitlines()[0], "one curve, told as one"
        both = sum(meal.entry.nutrients.carbs_g for meal in talk.meals())
        assert f"About {both:.0f} g carbohydrate" in banana
        assert "in these days I have 1" in talk.say("best and worst today")
