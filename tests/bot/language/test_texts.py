"""Texts in another language: the catalogues are current, and a turn speaks the language of its person."""

import re
from string import Formatter

import pytest
from babel.messages.pofile import read_po

from bot.language.texts import LANGUAGES, find_language, say, say_count, speaking, spoken, write_number
from tests.talk import talking
from tests.texts import HOME, stale

OTHERS = [language for language in LANGUAGES if language != "en"]


def test_the_catalogues_are_current() -> None:
    assert stale() == [], "run python -m tests.texts"


@pytest.mark.parametrize("language", OTHERS)
def test_a_translation_has_the_places_of_its_text(language: str) -> None:
    with (HOME / f"{language}.po").open("rb") as file:
        catalogue = read_po(file, locale=language)
    translated = 0
    for message in catalogue:
        ids = message.id if isinstance(message.id, tuple | list) else (message.id,)
        strings = message.string if isinstance(message.string, tuple | list) else (message.string,)
        if message.id and all(strings):
            translated += 1
            for text in strings:
                assert _places(text) <= _places(ids[-1]), text
    assert translated


def _places(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name}


def test_a_language_is_spoken_within_and_not_after() -> None:
    assert (spoken(), write_number("8,064.5")) == ("en", "8,064.5")
    with speaking("de"):
        assert write_number("8,064.5") == "8.064,5"
        assert say("From now on I speak English.") == "Von jetzt an spreche ich Deutsch."
    assert spoken() == "en"


def test_what_is_not_translated_yet_is_said_in_english() -> None:
    with speaking("de"):
        assert say("No text of ours has {n} zorbos.", n=3) == "No text of ours has 3 zorbos."
        assert say_count("{n} zorbo", "{n} zorbos", 1200) == "1.200 zorbos"


@pytest.mark.parametrize(
    "said", ["speak German", "Can you answer in German please?", "sprich Deutsch", "/language de"]
)
def test_the_language_is_changed_in_words_and_back(said: str) -> None:
    with talking() as talk:
        assert talk.say(said) == "Von jetzt an spreche ich Deutsch."
        assert re.search("Deutsch", talk.say("/language"))
        assert talk.say("switch to English") == "From now on I speak English."


@pytest.mark.parametrize("said", ["german sausage 80 g", "I had to speak to a German", "klingon", ""])
def test_other_words_change_no_language(said: str) -> None:
    assert find_language(said) is None
    with talking() as talk:
        assert "Deutsch" not in talk.say(said or "hello")
