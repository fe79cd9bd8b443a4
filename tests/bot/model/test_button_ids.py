import pytest

from bot.model.button_ids import read_ids, write_ids
from tests.talk import talking


@pytest.mark.parametrize("ids", [[1], [1, 2, 3], [7, 1_000_000, 1_000_001], list(range(10**9, 10**9 + 200))])
def test_ids_come_back(ids: list[int]) -> None:
    assert read_ids(write_ids(ids)) == ids


def test_ids_fit_a_button() -> None:
    scattered = write_ids(range(10**9, 10**9 + 400, 2))
    assert len(scattered) <= 55
    assert len(read_ids(scattered)) >= 4


@pytest.mark.parametrize("said", ["", "x", "9" * 5000, "-", "5-", "1,,x", "\u0661", "9-1"])
def test_what_is_no_id_gives_none_or_little(said: str) -> None:
    assert len(read_ids(said)) <= 1


def test_undo_takes_back_all_that_a_message_noted() -> None:
    with talking() as talk:
        talk.at("20:00").say(
            "2 eggs at 7:00\n" + "\n".join(f"5.{n} at 8:{n}0" for n in range(6)) + "\nsynced"
        )
        assert len(talk.logged("meal", "reading", "sync")) == 8
        talk.press("Undo")
        assert talk.logged("meal", "reading", "sync") == []
        talk.press("Put back")
        assert len(talk.logged("meal", "reading", "sync")) == 8


def test_a_pressed_number_too_large_for_a_row_is_just_gone() -> None:
    with talking() as talk:
        assert "not here any more" in talk.send(press="undo:" + "9" * 30, message_id="m")
