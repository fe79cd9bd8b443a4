from collections.abc import Iterator
from datetime import timedelta

import pytest

from bot.model.entries import Activity, Meal, Reading
from tests.talk import MORNING, Talk, readings_csv, talking

FLAT = [5.0] * 40
HILL = [5.0] * 6 + [5.4, 6.2, 7.1, 7.9, 8.2, 8.0, 7.6, 7.1, 6.7, 6.3, 6.0, 5.8, 5.6, 5.4, 5.3] + [5.2] * 19


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        yield one


def test_a_meal_and_a_walk_are_noted_and_said_back(talk: Talk) -> None:
    said = talk.at("08:00").say(
        "2 slices rye toast with butter and a boiled egg at 7:15, walked 10 min at 7:40"
    )
    (meal,) = talk.meals()
    assert isinstance(meal.entry, Meal)
    assert len(meal.entry.items) == 3
    assert meal.at == MORNING.replace(minute=15)
    (walk,) = talk.logged("activity")
    assert isinstance(walk.entry, Activity)
    assert walk.entry.minutes == 10
    for words in ("Noted breakfast, 07:15", "rye toast", "g carbohydrate", "My guess:", "10-minute walk"):
        assert words in said


def test_readings_bring_the_curve_of_the_meal_they_complete_once(talk: Talk) -> None:
    talk.at("07:30").say("100 g white bread at 7:30")
    text = readings_csv(MORNING, HILL)
    said = talk.at("10:15").file(text)
    assert "40 new readings" in said
    assert "evenness" in said
    assert [m.picture.kind for m in talk.heard if m.picture] == ["curve"]
    again = talk.file(text)
    assert "40 known already" in again
    assert "evenness" not in again


def test_a_curve_that_never_rises_is_told_as_such(talk: Talk) -> None:
    talk.at("07:30").say("100 g white bread at 7:30")
    said = talk.at("10:15").file(readings_csv(MORNING, [6.0] * 7 + [5.5] * 33))
    assert "Never above its start of 6.0 mmol/L; 5.5 after two hours. Area 0 mmol/L·min." in said
    assert "Up " not in said


def test_the_last_of_many_scores_are_called_that(talk: Talk) -> None:
    for day in range(5):
        talk.at("07:30", days=day).say("100 g white bread at 7:30")
        said = talk.at("10:15", days=day).file(readings_csv(MORNING + timedelta(days=day), HILL))
        if day == 3:
            assert "3 times before with a score" in said
    assert "4 times before with a score; the last 3" in said


def test_typed_readings_make_a_curve_too(talk: Talk) -> None:
    talk.at("07:30").say("100 g white bread at 7:30")
    talk.say("5.0 at 7:28")
    for clock, value in (("08:00", 7.1), ("08:30", 7.4), ("09:00", 6.1)):
        assert "evenness" not in talk.at(clock).say(f"{value}")
    assert "evenness" in talk.at("09:31").say("5.2")


def test_the_best_and_the_worst_need_two_meals(talk: Talk) -> None:
    assert "To rank meals" in talk.say("best and worst this week")
    talk.at("07:30").say("100 g white bread at 7:30")
    talk.at("10:15").file(readings_csv(MORNING, HILL))
    assert "in these days I have 1" in talk.say("best and worst this week")
    talk.at("12:00").say("2 boiled eggs at 12:00")
    talk.at("14:45").file(readings_csv(MORNING.replace(hour=11, minute=30), FLAT))
    said = talk.say("best and worst this week")
    assert said.startswith("Most even: ")
    assert "bread" in said.split("Least even: ")[1]
    assert talk.heard[-1].picture is not None


@pytest.mark.parametrize(
    ("words", "grams"), [("no, 150 g bread", 150), ("it was 80 g bread", 80), ("make that 60 g bread", 60)]
)
def test_a_correction_changes_the_amount(talk: Talk, words: str, grams: float) -> None:
    talk.say("100 g white bread with 20 g butter")
    said = talk.say(words)
    (meal,) = talk.meals()
    assert isinstance(meal.entry, Meal)
    assert [i.grams for i in meal.entry.items] == [grams, 20]
    assert f"{grams} g instead of 100 g" in said


def test_undo_and_put_back(talk: Talk) -> None:
    talk.say("100 g white bread")
    assert "Taken back" in talk.say("undo")
    assert talk.meals() == []
    assert "Put back" in talk.press("Put back")
    assert len(talk.meals()) == 1
    assert "back already" in talk.press("Put back")
    assert "Taken back" in talk.press("Undo")
    assert "taken back before" in talk.press("Fix amounts")


def test_buttons_ask_and_take_the_answer(talk: Talk) -> None:
    talk.at("08:00").say("100 g white bread")
    talk.say("walked 10 min")
    assert "right amount" in talk.press("Fix amounts")
    assert "70 g instead of 100 g" in talk.say("70 g bread")
    assert "first bite" in talk.press("Fix time")
    assert "07:20" in talk.say("7:20")
    (meal,) = talk.meals()
    assert meal.at == MORNING.replace(minute=20)


def test_an_edit_amends_the_entries_of_that_message(talk: Talk) -> None:
    talk.say("100 g white bread and 20 g butter", message_id="m-first")
    talk.say("a banana")
    said = talk.say("80 g white bread", message_id="m-first", edited=True)
    assert "80 g instead of 100 g" in said
    assert "butter removed" in said
    assert len(talk.meals()) == 2
    said = talk.say("???", message_id="m-first", edited=True)
    assert "first one stands" in said


def test_an_answer_to_a_message_of_ours_means_its_entry(talk: Talk) -> None:
    talk.say("100 g white bread")
    ours = talk.heard[-1].id
    talk.at("07:30").say("100 g rye bread")
    talk.say("no, 60 g bread", reply_to=f"bot-{ours}")
    assert [m.entry.items[0].grams for m in talk.meals() if isinstance(m.entry, Meal)] == [60, 100]


def test_a_message_is_handled_once(talk: Talk) -> None:
    assert talk.say("100 g white bread", update_id="same")
    assert talk.say("100 g white bread", update_id="same") == ""
    assert len(talk.meals()) == 1


def test_a_typed_reading_can_be_taken_back(talk: Talk) -> None:
    talk.say("6.4 at 7:00")
    talk.say("undo")
    with talk.app.store.read() as tx:
        assert tx.readings.count("local") == 0
    talk.press("Put back")
    with talk.app.store.read() as tx:
        assert (
            tx.readings.between("local", None, None) == [Reading(6.4, MORNING)]
            or tx.readings.count("local") == 1
        )


def test_of_two_typed_readings_of_a_minute_the_last_one_counts(talk: Talk) -> None:
    def values() -> list[float]:
        with talk.app.store.read() as tx:
            return [reading.mmol for reading in tx.readings.between("local", None, None)]

    talk.at("09:30").say("5.4 at 9:10")
    said = talk.say("5.9 at 9:10")
    assert said.endswith("It replaces 5.4 mmol/L, which you gave for that minute before.")
    assert values() == [5.9]
    assert "place" not in talk.say("finger-prick 5.1 at 9:10"), "values of blood are kept apart"
    assert sorted(values()) == [5.1, 5.9]
    assert "place" not in talk.say("6.3 at 9:11")
    talk.say("undo")
    talk.say("6.8 at 9:10")
    assert sorted(values()) == [5.1, 6.8]
    talk.press("Undo")
    assert sorted(values()) == [5.1, 5.9], "the one before it counts again"
    assert "6.1 mmol/L at 09:10" in talk.say("no, 6.1")


BAD = {
    "empty": {"text": ""},
    "blanks": {"text": " \n\t "},
    "emoji": {"text": "🙂🙂🍕"},
    "long": {"text": "rice " * 2000},
    "photo": {"other": "photo"},
    "voice": {"other": "voice"},
    "sticker": {"other": "sticker"},
    "too large": {"too_large": True},
    "future": {"text": "rice at 23:00 tomorrow"},
    "negative": {"text": "-50 g rice"},
    "impossible": {"text": "500 mmol/L"},
    "html": {"text": "<b>&lt;script&gt;</b>"},
    "sql": {"text": "'); DROP TABLE entries; --"},
    "old button": {"press": "flavour:1"},
    "strange button": {"press": "undo:999999"},
    "garbled button": {"press": "undo:²,x"},
    "unknown command": {"text": "/frobnicate now"},
    "nul": {"text": "\x00\x01"},
}


@pytest.mark.parametrize("message", BAD.values(), ids=list(BAD))
def test_bad_input_gets_an_answer_and_stores_nothing(talk: Talk, message: dict[str, object]) -> None:
    said = talk.send(**message)
    assert said
    assert len(said) < 400
    assert talk.logged("meal", "activity", "reading", "sync", "sensor", "sleep", "feeling") == []
    assert "Noted breakfast" in talk.say("100 g white bread at 7:00")


def test_a_file_that_holds_no_readings(talk: Talk) -> None:
    for data in (b"", b"\x89PNG\r\n\x1a\n\x00\x00", b"name,line\nA,6\nB,38\n", b"<html><p>hi</p></html>"):
        said = talk.file(data)
        assert said
        assert "new reading" not in said
        assert len(said) < 300
    with talk.app.store.read() as tx:
        assert tx.readings.count("local") == 0


def test_two_meals_at_once_and_an_unknown_food(talk: Talk) -> None:
    said = talk.at("13:00").say("breakfast 2 eggs at 7:10, lunch 300 g soup and flurgle at 12:30")
    assert [m.entry.slot for m in talk.meals() if isinstance(m.entry, Meal)] == ["breakfast", "lunch"]
    assert "I don't know “flurgle”" in said


def test_very_low_and_very_high_readings_bring_one_caution(talk: Talk) -> None:
    assert "very low" in talk.say("2.6")
    assert "high for someone" in talk.at("07:20").say("15.1")
    assert "very low" not in talk.at("07:40").say("3.6")
    said = talk.at("11:00").file(readings_csv(MORNING, [5.0, 2.5, 2.4, 5.0]))
    assert "very low" not in said  # that was said, and it is no worse


def test_vinegar_brings_its_caution_once(talk: Talk) -> None:
    assert "enamel" in talk.say("150 g cooked rice with 1 tbsp vinegar")
    assert "enamel" not in talk.say("150 g cooked rice with 1 tbsp vinegar")


def test_settings(talk: Talk) -> None:
    assert "mg/dL" in talk.say("/unit mg/dl")
    assert "104 mg/dL" in talk.say("104 at 7:00")
    assert "America/Chicago" in talk.say("/zone America/Chicago")
    assert "no time zone" in talk.say("/zone Atlantis").lower()
    assert "from 23:00 to 05:30" in talk.say("/quiet 23:00-05:30")
    assert "stay as they are (23:00-05:30)" in talk.say("/quiet whenever")
    assert "at least 1 h 30 min" in talk.say("/quiet 21-6:30").replace("90 min", "1 h 30 min")
    assert "No quiet hours" in talk.say("/quiet off")
    assert "America/Chicago" in talk.say("/status")


def test_everything_is_there_after_opening_again(tmp_path: object) -> None:
    url = f"sqlite:///{tmp_path}/a.db"
    with talking(url) as first:
        first.say("100 g white bread", update_id="u1")
        first.say("/unit mg/dL")
    with talking(url, start=MORNING + timedelta(hours=1)) as second:
        assert len(second.meals()) == 1
        assert second.send(text="100 g white bread", update_id="u1") == ""
        assert "mg/dL" in second.send(text="/status", update_id="u9")


def test_a_note_taken_back_is_not_changed() -> None:
    with talking() as talk:
        talk.at("08:00").say("60 g oats and a pear")
        talk.press("Fix amounts")
        talk.press("Undo")
        assert talk.say("no, 80 g oats") == "That note was taken back before, so there is nothing to change."
        assert talk.say("remove the pear", reply_to="bot-1").startswith("That note was taken back")
        assert talk.say("undo", reply_to="bot-1").startswith("That note was taken back")
        talk.press("Put back")
        assert next(item.grams for item in talk.meals()[0].entry.items) == 60  # type: ignore[union-attr]


def test_an_edit_is_no_answer_to_a_question_asked_meanwhile() -> None:
    with talking() as talk:
        talk.at("08:00").say("60 g oats", message_id="note")
        talk.press("Fix amounts")
        assert "80 g instead of 60 g" in talk.say("80 g oats", message_id="note", edited=True)
        assert "90 g instead of 80 g" in talk.say("90 g oats")


@pytest.mark.parametrize("text", ["a\ud800b 100 g rice", "100 g rice\0", "\udfff"])
def test_characters_that_no_database_keeps_do_no_harm(talk: Talk, text: str) -> None:
    assert talk.say(text)
    assert "rice" in talk.say("100 g rice")


@pytest.mark.parametrize("data", ["", "x", "9" * 64, "\0", "-1", "undo:", "back:", "\ud800"])
def test_a_spoilt_button_says_that_there_is_nothing(talk: Talk, data: str) -> None:
    assert "not here any more" in talk.send(press=data, message_id="m")


@pytest.mark.parametrize("text", ["x" * 4000, "xqz " * 900])
def test_a_long_text_is_not_echoed_whole(talk: Talk, text: str) -> None:
    assert len(talk.say(text)) < 500


def test_an_edit_beside_other_notes_changes_only_its_own(talk: Talk) -> None:
    talk.at("13:40").say("lunch at 12: 300 g soup", message_id="soup")
    assert "6.4 mmol/L at 12:30" in talk.say("6.4 half an hour after lunch", message_id="value")
    said = talk.say("6.8 half an hour after lunch", message_id="value", edited=True)
    assert said == "Changed to 6.8 mmol/L at 12:30; it was 6.4 mmol/L at 12:30."
    assert "chicken 300 g instead of soup 300 g" in talk.say("300 g chicken", message_id="soup", edited=True)
    assert "ask your doctor" in talk.say("I take metformin", message_id="soup", edited=True)
    assert len(talk.meals()) == 1


def test_an_answer_to_an_old_note_means_that_note(talk: Talk) -> None:
    talk.say("300 g soup", message_id="soup")
    assert "breakfast Mon 07:00" in talk.at("13:00", days=5).say("no, 200 g soup", reply_to="soup")


def test_undo_takes_back_a_change_made_in_the_second_of_its_note(talk: Talk) -> None:
    talk.at("15:00").say("a pear")
    talk.say("move the pear to 14:30")
    assert "from 14:30 to 15:00" in talk.say("undo")


def test_a_change_that_changes_nothing_is_not_what_undo_takes_back(talk: Talk) -> None:
    talk.say("100 g white bread")
    assert "70 g instead of 100 g" in talk.at("07:01").say("no, 70 g bread")
    assert "changes nothing" in talk.at("07:02").say("no, 70 g bread")
    assert "100 g instead of 70 g" in talk.at("07:03").say("undo")
