"""Help by situation, all settings with their buttons, privacy, and the list of commands."""

import re
from collections.abc import Iterator

import pytest

from bot.reply.help import LABELS
from bot.reply.settings_list import CHOICES, Choice
from bot.talk.reminder_settings import SETTINGS
from bot.talk.slash_commands import COMMANDS, QUESTIONS, SETTERS
from tests.talk import Talk, talking

NAMES = [name for name, _ in COMMANDS]


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as talk:
        yield talk


def test_help_speaks_of_the_last_meal_in_the_persons_own_words(talk: Talk) -> None:
    assert "rye toast with butter" in talk.say("help")
    talk.note("80 g bulgur with lentils")
    assert "“80 g bulgur with lentils”" in talk.say("/help")
    assert "no, 120 g bulgur" in talk.press("Putting right")
    assert "what does bulgur do to me?" in talk.press("Asking")


@pytest.mark.parametrize("label", LABELS.values())
def test_each_situation_takes_the_place_of_the_help(talk: Talk, label: str) -> None:
    talk.say("help")
    assert [button.label for button in talk.heard[-1].buttons] == list(LABELS.values())
    talk.press(label)
    shown = talk.heard[-1]
    assert shown.replaces == f"bot-{talk.heard[-2].id}"
    assert len(shown.text.split()) < 110
    assert label not in [button.label for button in shown.buttons]


def test_what_help_says_can_be_said(talk: Talk) -> None:
    """Each example of a question is answered, and none is taken for a meal."""
    talk.note("2 slices rye toast at 6:30")
    talk.say("help")
    said = talk.press("Asking")
    examples = re.findall(r"“([^”]+)”", said)
    assert len(examples) > 8
    for example in examples:
        answer = talk.say(example)
        assert "didn't understand" not in answer, example
        assert "can't answer that yet" not in answer, example
    assert len(talk.meals()) == 1


def test_how_to_change_something_is_answered_by_how_to_put_right(talk: Talk) -> None:
    assert "it was at 12:15" in talk.say("how do I change a time?")


@pytest.mark.parametrize("name", CHOICES)
def test_every_setting_is_changed_by_its_button(talk: Talk, name: str) -> None:
    talk.say("/settings")
    choice = CHOICES[name]
    assert talk.press(choice.label) == choice.ask
    for value in choice.values:
        label = dict(choice.labels).get(value, value)
        talk.say("/settings")
        talk.press(choice.label)
        talk.press(label)
        with talk.app.store.read() as tx:
            kept = tx.people.get("local")
        assert kept is not None
        assert talk.heard[-1].replaces is not None
        if name == "language":
            assert kept.language == value
            talk.say("/language en")
    if name not in ("zone", "language"):
        assert len({list_with(talk, choice, value) for value in choice.values}) == len(choice.values)


def list_with(talk: Talk, choice: Choice, value: str) -> str:
    """The list of settings once a value is chosen, without what the change itself says."""
    talk.say("/settings")
    talk.press(choice.label)
    return talk.press(dict(choice.labels).get(value, value)).partition("\n\n")[2]


def test_a_button_of_a_setting_that_is_none_changes_nothing(talk: Talk) -> None:
    talk.say("/settings")
    for data in ("set:unit:stones", "set:erase:all", "set:nothing", "set:"):
        assert talk.send(press=data, message_id="bot-1").startswith("Unit: mmol/L")


def test_privacy_says_what_where_how_long_and_leads_to_the_end(talk: Talk) -> None:
    said = talk.say("/privacy")
    for word in ("What I hold", "Where", "How long", "To get it", "To erase it"):
        assert word in said
    talk.press("Delete everything I hold")
    assert "deleted" in talk.press("Delete everything")


@pytest.mark.parametrize("name", NAMES)
def test_every_command_of_the_menu_does_something(talk: Talk, name: str) -> None:
    talk.note("an apple")
    said = talk.say(f"/{name}")
    assert "didn't understand" not in said
    assert "cannot answer" not in said


def test_the_menu_names_all_commands_as_the_messenger_wants_them() -> None:
    assert {*QUESTIONS, *SETTINGS, *SETTERS, *CHOICES} <= {*NAMES}
    assert len(set(NAMES)) == len(NAMES)
    for name, description in COMMANDS:
        assert re.fullmatch(r"[a-z][a-z0-9_]{0,31}", name)
        assert 3 <= len(description) <= 100
