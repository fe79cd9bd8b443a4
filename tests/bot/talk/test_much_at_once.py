"""Messages that ask or change more than one would answer."""

from bot.reply import fixed
from tests.talk import talking


def test_of_many_questions_the_first_are_answered_and_it_is_said() -> None:
    with talking() as talk:
        talk.say("80 g oats at 7:00")
        before = len(talk.heard)
        talk.say("how was breakfast? best and worst? what's my fasting? show yesterday? average day? status?")
        assert len(talk.heard) - before == 5
        assert talk.heard[-1].text == fixed.MORE_ASKED


def test_an_edit_that_can_only_be_a_change_is_none_of_nothing() -> None:
    """The words of an edited note change no other note, so there is nothing for them to change."""
    with talking() as talk:
        talk.say("100 g rice", message_id="m1")
        said = talk.say("no, 120 g rather than 100 g", message_id="m1", edited=True)
        assert fixed.BROKEN not in said
