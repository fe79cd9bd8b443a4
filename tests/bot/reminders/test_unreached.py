"""A reminder that the messenger does not take: said anew for as long as it makes sense, in fresh words."""

from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.model.messages import Outgoing
from bot.reminders import rules
from bot.reminders.quiet_hours import quiet_of
from tests.bot.reminders.test_planning import sync
from tests.talk import Talk, talking


def ask_in_vain(talk: Talk) -> Outgoing:
    """Let the sync that is due be handed to the messenger, which does not take it."""
    (asked,) = talk.app.tick()
    assert "Please sync" in asked.text
    return asked


def test_a_sync_that_waits_is_said_by_what_has_lapsed_since() -> None:
    with talking() as talk:
        sync(talk)
        asked = ask_in_vain(talk.at("14:00"))
        assert asked.text.startswith("Please sync by 15:00")
        assert talk.at("14:14").app.review(asked) == asked
        again = talk.at("14:20").app.review(asked)
        assert again is not None
        assert again.id != asked.id
        assert again.text.startswith("Please sync by 15:00")
        late = talk.at("16:30").app.review(again)
        assert late is not None
        assert "07:00 to 08:30 is lost" in late.text
        assert "(I meant to say this at 14:00, but I couldn't reach you.)" in late.text
        assert talk.app.tick() == [], "nothing of it is said twice"
        assert talk.app.unsent() == [late]


def test_what_was_synced_meanwhile_is_not_asked_for() -> None:
    with talking() as talk:
        sync(talk)
        asked = ask_in_vain(talk.at("14:00"))
        sync(talk.at("14:10"))
        assert talk.at("14:30").app.review(asked) is None
        assert talk.app.unsent() == []
        assert "Please sync by 22:10" in talk.at("21:10").tick()


def test_what_waits_into_the_night_is_said_in_the_morning() -> None:
    with talking() as talk:
        sync(talk.at("14:30"))
        asked = ask_in_vain(talk.at("21:30"))
        assert talk.at("23:30").app.review(asked) is None
        assert talk.app.tick() == []
        assert "is lost" in talk.at("06:30", days=1).tick()


def test_somebody_who_was_erased_hears_nothing_more() -> None:
    with talking() as talk:
        sync(talk)
        asked = ask_in_vain(talk.at("14:00"))
        talk.say("/erase")
        talk.press("Delete everything")
        for minute in ("14:01", "14:40"):
            assert talk.at(minute).app.review(asked) is None


def test_a_reply_is_worth_sending_for_a_day() -> None:
    with talking() as talk:
        talk.at("08:00").say("hello")
        (said,) = talk.app.receive(talk_message(talk, "two eggs"))
        assert talk.at("07:59", days=1).app.review(said) == said
        assert talk.at("08:01", days=1).app.review(said) is None
        assert talk.app.unsent() == []


def talk_message(talk: Talk, text: str):  # type: ignore[no-untyped-def]
    from bot.model.messages import Incoming

    return Incoming(person=talk.person, update_id="waits", sent_at=talk.clock.now(), text=text)


@pytest.mark.parametrize("starts", [2, 5])
def test_clean_starts_drop_nothing_that_was_certainly_not_sent(starts: int) -> None:
    with talking() as talk:
        sync(talk)
        asked = ask_in_vain(talk.at("14:00"))
        for _ in range(starts):
            (left,) = talk.app.unsent()
            assert talk.app.review(left) == asked
            talk.app.refused(asked.id or 0)
        assert talk.app.unsent() == [asked]


def test_starts_drop_nothing_that_only_waited_for_its_turn() -> None:
    with talking() as talk:
        sync(talk)
        asked = ask_in_vain(talk.at("14:00"))
        for _ in range(5):
            assert talk.app.unsent() == [asked]


def test_what_is_cut_off_while_it_is_sent_is_sent_once_more_and_no_third_time() -> None:
    with talking() as talk:
        sync(talk)
        asked = ask_in_vain(talk.at("14:00"))
        assert talk.app.unsent() == [asked]
        assert talk.app.review(asked) == asked
        talk.app.sending(asked.id or 0)
        talk.app.sending(asked.id or 0)  # within one run it counts once
        assert talk.app.unsent() == []


def test_what_was_looked_at_but_never_sent_was_not_cut_off() -> None:
    with talking() as talk:
        sync(talk)
        asked = ask_in_vain(talk.at("14:00"))
        for _ in range(4):
            assert talk.app.unsent() == [asked]
            assert talk.app.review(asked) == asked


@settings(deadline=None, max_examples=60)
@given(waits_min=st.lists(st.integers(1, 400), min_size=1, max_size=12), synced=st.integers(7, 22))
def test_however_long_it_waits_no_reminder_is_lost_or_said_at_night(
    waits_min: list[int], synced: int
) -> None:
    """The messenger takes nothing until the end; then one message is there, or one is planned in time."""
    with talking() as talk:
        sync(talk.at(f"{synced:02d}:00"))
        with talk.app.store.read() as tx:
            due = min(r.due_at for r in tx.reminders.pending(talk.person) if r.kind == "sync")
        talk.clock.move_to(due)
        waiting = list(talk.app.tick())
        assert len(waiting) == 1
        for minutes in waits_min:
            talk.clock.move_to(talk.clock.now() + timedelta(minutes=minutes))
            looked_at = [talk.app.review(message) for message in waiting]
            waiting = [message for message in looked_at if message is not None] + talk.app.tick()
            with talk.app.store.read() as tx:
                person = tx.people.get(talk.person)
                assert person is not None
                quiet = rules.in_quiet(talk.clock.now(), quiet_of(person), person.zone)
                planned = [r for r in tx.reminders.pending(talk.person) if r.kind == "sync"]
            assert waiting or planned or talk.clock.now() - due > timedelta(days=2)
            fresh = [m for m in waiting if m.id is not None and m not in looked_at]
            assert not (quiet and fresh)
            assert len(waiting) <= 2
