"""Long and odd texts."""

from hypothesis import given
from hypothesis import strategies as st

from bot.channels.telegram_requests import split_text
from bot.channels.telegram_updates import find_chat, name_person


def test_split_at_line_ends() -> None:
    assert split_text("one\ntwo\nthree", 8) == ["one\ntwo\n", "three"]


def test_split_a_line_that_is_too_long() -> None:
    assert split_text("abcdefgh", 3) == ["abc", "def", "gh"]


def test_characters_outside_the_basic_plane_count_twice_and_stay_whole() -> None:
    assert split_text("🍎🍎🍎", 5) == ["🍎🍎", "🍎"]


def test_half_a_character_does_not_stop_a_message() -> None:
    assert split_text("a\ud83cb") == ["a?b"]


def test_blank_parts_are_left_out() -> None:
    assert split_text("ab\n\n\n\n\n", 2) == ["ab"]
    assert split_text("") == [""]


@given(st.text(max_size=300), st.integers(2, 40))
def test_nothing_is_lost_or_too_long(text: str, limit: int) -> None:
    parts = split_text(text, limit)
    assert all(len(part.encode("utf-16-le")) <= 2 * limit for part in parts)
    assert "".join("".join(parts).split()) == "".join(text.split())


def test_persons_of_other_channels_have_no_chat() -> None:
    assert find_chat(name_person(-12)) == -12
    assert find_chat("local") is None
