"""Messages that ask or change more than one would answer."""

from datetime import timedelta

from bot.reply import fixed
from bot.talk.words import MOST_PICTURES
from tests.talk import MORNING, readings_csv, talking


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


def test_many_answers_bring_few_pictures_and_all_their_words() -> None:
    with talking() as talk:
        for day in range(3):
            start = MORNING.replace(hour=0) + timedelta(days=day)
            talk.at("12:00", days=0 if day == 0 else 1).file(
                readings_csv(start, [5.0 + n % 7 / 10 for n in range(140)])
            )
        talk.say("80 g oats at 7:00")
        before = len(talk.heard)
        talk.say("show yesterday? show today? average day? how was breakfast?")
        answers = talk.heard[before:]
        assert len(answers) == 4
        assert sum(len(one.drawn) for one in answers) == MOST_PICTURES
        assert all(one.text or one.drawn for one in answers)
        talk.say("show yesterday?")
        assert talk.heard[-1].drawn
