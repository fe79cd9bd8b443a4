"""Photos of meals: kept with the meal of their caption or of the hour, private unless marked."""

import io
from collections.abc import Iterator
from datetime import timedelta

import pytest
from PIL import Image

from bot.intake.photos import shrink_photo
from bot.model.entries import Meal
from bot.model.messages import Attachment
from bot.store import Photo
from bot.talk import photos
from tests.talk import MORNING, Talk, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as opened:
        yield opened.at("12:40")


def jpeg(colour: str = "orange") -> bytes:
    data = io.BytesIO()
    Image.new("RGB", (40, 30), colour).save(data, "JPEG")
    return data.getvalue()


def show(talk: Talk, caption: str = "", **more: object) -> str:
    return talk.send(file=Attachment("photo.jpg", jpeg()), text=caption, **more)


def kept(talk: Talk, *, shared_only: bool = False) -> list[tuple[Photo, bytes]]:
    with talk.app.store.read() as tx:
        day = timedelta(days=1)
        return tx.photos.kept("local", MORNING - day, MORNING + day, shared_only=shared_only)


def meals_of(talk: Talk) -> list[str]:
    photos = kept(talk)
    with talk.app.store.read() as tx:
        meals = [tx.log.get(photo.entry_id or 0) for photo, _ in photos]
    return [meal.entry.slot for meal in meals if meal is not None and isinstance(meal.entry, Meal)]


def test_a_caption_is_noted_and_keeps_the_photo_which_is_said_once_a_day(talk: Talk) -> None:
    said = show(talk, "200 g cooked rice and chicken at 12:30")
    assert said.startswith("Noted lunch, 12:30")
    assert said.endswith("Your photo is kept with it, for you alone.")
    assert meals_of(talk) == ["lunch"]
    [(photo, data)] = kept(talk)
    assert (photo.shared, data[:3]) == (False, b"\xff\xd8\xff")
    talk.at("15:00")
    assert "photo" not in show(talk, "an apple at 14:55")
    assert meals_of(talk) == ["lunch", "snack"]


def test_without_words_it_is_of_the_nearest_meal_of_the_hour(talk: Talk) -> None:
    talk.say("200 g cooked rice at 12:30")
    assert show(talk) == "Your photo is kept with lunch (cooked rice), 12:30, for you alone."
    assert [button.label for button in talk.heard[-1].buttons] == ["Another meal", "Do not keep it"]
    assert meals_of(talk) == ["lunch"]


def test_that_it_is_of_another_meal_can_be_pressed(talk: Talk) -> None:
    talk.say("60 g oats at 7:10")
    talk.note("200 g cooked rice at 12:30")
    show(talk)
    assert talk.press("Another meal").startswith("What was on the plate?")
    assert [button.label for button in talk.heard[-1].buttons] == ["07:10 breakfast", "Do not keep it"]
    assert kept(talk) == []
    assert "breakfast (oats), 07:10" in talk.press("07:10 breakfast")
    assert meals_of(talk) == ["breakfast"]


def test_before_its_meal_it_waits_for_the_words(talk: Talk) -> None:
    assert show(talk).startswith("What was on the plate?")
    assert kept(talk) == []
    talk.at("12:44").say("200 g cooked rice at 12:35")
    assert meals_of(talk) == ["lunch"]


def test_it_does_not_wait_for_more_than_an_hour(talk: Talk) -> None:
    show(talk)
    talk.at("15:00").say("an apple at 14:50")
    assert kept(talk) == []


def test_several_at_once_are_of_one_meal(talk: Talk) -> None:
    show(talk, "200 g cooked rice at 12:30")
    show(talk)
    assert meals_of(talk) == ["lunch", "lunch"]


def test_one_that_is_not_wanted_is_deleted(talk: Talk) -> None:
    show(talk)
    assert talk.press("Do not keep it") == "That photo is deleted."
    assert talk.press("Do not keep it") == "That photo is not here any more."
    talk.say("200 g cooked rice at 12:35")
    assert kept(talk) == []


def test_a_meal_taken_back_takes_its_photo_along_and_brings_it_back(talk: Talk) -> None:
    show(talk, "200 g cooked rice at 12:30")
    talk.say("undo")
    assert kept(talk) == []
    talk.press("Put back")
    assert meals_of(talk) == ["lunch"]


@pytest.mark.parametrize("words", ["share this photo", "Please share the picture.", "my photo may be shared"])
def test_it_is_private_unless_marked(talk: Talk, words: str) -> None:
    show(talk, "200 g cooked rice at 12:30")
    assert kept(talk, shared_only=True) == []
    assert "may be in what you share now" in talk.say(words)
    assert len(kept(talk, shared_only=True)) == 1
    assert "stays private" in talk.say("keep the photo private")
    assert kept(talk, shared_only=True) == []


def test_a_caption_can_mark_it(talk: Talk) -> None:
    said = show(talk, "200 g cooked rice at 12:30. Share this photo!")
    assert said.startswith("Noted lunch, 12:30: cooked rice 200 g.")
    assert "left out" not in said
    assert len(kept(talk, shared_only=True)) == 1


def test_an_answer_to_a_photo_is_about_that_one(talk: Talk) -> None:
    show(talk, "200 g cooked rice at 12:30", message_id="first")
    show(talk, "an apple at 12:38", message_id="second")
    assert "cooked rice" in talk.say("share this photo", reply_to="first")
    [(photo, _)] = kept(talk, shared_only=True)
    assert photo.message_id == "first"
    assert talk.say("delete this photo", reply_to="second") == "That photo is deleted."
    assert len(kept(talk)) == 1


def test_without_any_photo_that_is_said(talk: Talk) -> None:
    assert talk.say("share my photo").startswith("I have no photo of yours yet.")


def test_a_question_in_a_caption_is_answered_and_the_photo_kept(talk: Talk) -> None:
    talk.say("200 g cooked rice at 12:30")
    assert "g carb" in show(talk, "how many carbs was that?")


def test_buttons_of_others_and_of_nothing_do_nothing(talk: Talk) -> None:
    show(talk, "200 g cooked rice at 12:30")
    [(photo, _)] = kept(talk)
    other = Talk(talk.app, talk.clock, "other")
    other._count = 100
    for press in (f"photo_drop:{photo.id}", "photo_drop:", "photo_with:²", f"photo_with:{photo.id},1"):
        assert other.send(press=press) == "That photo is not here any more."
    assert "nothing to change" in talk.send(press=f"photo_with:{photo.id},999")
    assert len(kept(talk)) == 1


def test_a_damaged_picture_is_said_to_be_one(talk: Talk) -> None:
    assert "couldn't open that picture" in talk.file(jpeg()[:30], "photo.jpg")


def test_erasing_takes_photos_along(talk: Talk) -> None:
    show(talk, "200 g cooked rice at 12:30")
    talk.say("/erase")
    talk.press(talk.heard[-1].buttons[0].label)
    assert kept(talk) == []


@pytest.mark.parametrize("kind", ["voice", "sticker", "animation", "video note", "location"])
def test_what_has_no_words_is_answered_in_a_sentence_or_two(talk: Talk, kind: str) -> None:
    said = talk.send(other=kind)
    assert len(said.split()) < 30
    assert "100" not in said.split("“")[0]


def test_there_is_a_most_of_photos_and_the_words_beside_one_are_noted_all_the_same(
    talk: Talk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(photos, "MOST_MB", len(shrink_photo(jpeg()) or b"") * 2 / 1_000_000)
    show(talk, "an apple at 12:10")
    show(talk, "a pear at 12:20")
    before = len(kept(talk))
    said = show(talk, "a plum at 12:30")
    assert "plum" in said
    assert "isn't kept" in talk.heard[-1].text
    assert "isn't kept" in show(talk)
    assert len(kept(talk)) == before == 2
    talk.say("delete the photo")
    assert "isn't kept" not in show(talk, "a fig at 12:35")
