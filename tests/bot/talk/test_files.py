"""Files in the talk that leave a question open, markers out of range, blood and second sensors."""

from datetime import timedelta

import numpy as np
import pytest

from analysis.plots.field import joined
from bot.frames.servings import serving_of
from bot.model.messages import Attachment
from bot.talk.files import KEEP_FILE
from tests.talk import MORNING, Talk, talking

ROWS = [(h, m) for h in (4, 5, 6) for m in range(0, 60, 5)]
TWO = "\n".join(
    ["time,glucose A mmol/L,glucose B mmol/L"]
    + [f"2026-03-02 0{h}:{m:02d},{5 + m / 60:.1f},{6 + m / 60:.1f}" for h, m in ROWS]
)
EITHER_WAY = "\n".join(
    ["time;glucose mmol/L"] + [f"03/02/2026 0{h}:{m:02d};5.{(h + m) % 10}" for h, m in ROWS]
)


def stored(talk: Talk) -> list[float]:
    with talk.app.store.read() as tx:
        return [reading.mmol for reading in tx.readings.between("local", None, None)]


def test_which_column_is_asked_by_buttons_and_nothing_is_stored_before() -> None:
    with talking() as talk:
        said = talk.file(TWO)
        assert "which one is it?" in said
        assert [b.label for b in talk.heard[-1].buttons] == ["glucose A mmol/L", "glucose B mmol/L"]
        assert stored(talk) == []
        said = talk.press("glucose B mmol/L")
        assert said.startswith("36 new readings, ")
        assert "“glucose B mmol/L” as the glucose, as you chose" in said
        assert stored(talk)[0] == 6.0
        assert "how your files are to be read is as before" in talk.say("undo")
        assert "which one is it?" in talk.file(TWO.replace("2026-03-02", "2026-03-01"))


def test_the_answer_holds_for_the_next_file_laid_out_alike_and_can_be_taken_back() -> None:
    with talking() as talk:
        talk.file(TWO)
        talk.press("glucose B mmol/L")
        talk.at("08:00")
        said = talk.file(TWO.replace("2026-03-02", "2026-03-01"), "next.csv")
        assert said.startswith("36 new readings, "), "it is not asked twice"
        assert "Taken out: 36 readings" in talk.press("Wrong, take out")
        assert len(stored(talk)) == 36
        assert "which one is it?" in talk.file(TWO.replace("2026-03-02", "2026-03-01"))
        assert talk.say("glucose a mmol/l").startswith("36 new readings, "), "words do as well"


@pytest.mark.parametrize(("label", "day"), [("2026-02-03", 3), ("2026-03-02", 2)])
def test_day_or_month_first_is_asked(label: str, day: int) -> None:
    with talking() as talk:
        assert "which one is it?" in talk.file(EITHER_WAY)
        assert talk.press(label).startswith("36 new readings, ")
        with talk.app.store.read() as tx:
            first = tx.readings.between("local", None, None)[0]
        assert first.at is not None
        assert first.at.day == day


def test_both_questions_of_one_file_are_asked_in_turn() -> None:
    both = TWO.replace("2026-03-02", "03/02/2026")
    with talking() as talk:
        talk.file(both)
        first = [b.label for b in talk.heard[-1].buttons]
        talk.press(first[0])
        second = [b.label for b in talk.heard[-1].buttons]
        assert first != second
        assert talk.press(second[1]).startswith("36 new readings, ")


def test_an_old_button_and_a_file_of_yesterday_are_said_to_be_gone() -> None:
    with talking() as talk:
        talk.file(TWO)
        old = talk.heard[-1].buttons[0].data
        talk.file(EITHER_WAY, "other.csv")
        assert "send it once more" in talk.send(press=old)
        newest = talk.heard[-2].buttons[0].data
        talk.clock.move_to(MORNING + KEEP_FILE + timedelta(minutes=1))
        assert "send it once more" in talk.send(press=newest)
        talk.tick()
        with talk.app.store.begin() as tx:
            assert tx.files.get("local", MORNING) is None, "the bytes are not kept longer than a day"


def test_nobody_answers_for_another() -> None:
    with talking() as talk:
        talk.file(TWO)
        other = Talk(talk.app, talk.clock, "other")
        for data in (talk.heard[-1].buttons[0].data, "file:1,9", "file:x", "unfile:1-99", "unfile:"):
            other.send(press=data, update_id=f"other {data}")
        with talk.app.store.read() as tx:
            assert tx.files.get("local", talk.clock.now()) is not None
            assert tx.readings.count("other") == 0


def test_markers_are_kept_as_flags_and_refuse_the_curve_they_cut() -> None:
    rows = [
        (MORNING.replace(tzinfo=None) + timedelta(minutes=5 * i), 5.0 + i % 3 / 10) for i in range(-6, 40)
    ]
    text = "time,glucose mmol/L\n" + "\n".join(
        f"{at:%Y-%m-%d %H:%M},{'HI' if at.hour == 7 and at.minute == 50 else value}" for at, value in rows
    )
    with talking() as talk:
        talk.say("60 g oats and a pear at 7:00")
        talk.at("10:30")
        said = talk.file(text)
        assert said.startswith("45 new readings, 1 out of the sensor's range")
        assert "above the sensor's range is high" in said
        assert "high limit 50 min after the first bite" in talk.say("how was breakfast?")
        again = talk.file(text)
        assert again.startswith("0 new readings, 45 known already, 1 out of")
        assert "is high" not in again, "a caution is for what is new"
        spec = talk.heard[-3].picture or talk.heard[-2].picture
        assert spec is not None
        assert talk.app.draw(spec, "local").png.startswith(b"\x89PNG")
        breakfast = talk.meals()[0]
        with talk.app.store.read() as tx:
            person = tx.people.get("local")
            assert person is not None
            serving, _ = serving_of(tx, person, breakfast)
        assert serving.limits == (50.0,)
        minutes, mmol = joined(serving)
        (hole,) = np.flatnonzero(np.isnan(mmol))
        assert (minutes[hole - 1], minutes[hole + 1]) == (45.0, 55.0), "no line goes through the marker"


def test_a_second_sensor_is_kept_apart_and_compared() -> None:
    stamps = [MORNING.replace(tzinfo=None) - timedelta(minutes=5 * i) for i in range(12 * 16)]
    one, two = (
        "time,glucose mmol/L\n" + "\n".join(f"{at:%Y-%m-%d %H:%M},{value}" for at in stamps)
        for value in (5.4, 5.0)
    )
    with talking() as talk:
        talk.file(one)
        said = talk.send(text="from my second sensor", file=Attachment("second.csv", two.encode()))
        assert said.startswith("192 new readings, ")
        with talk.app.store.read() as tx:
            assert set(tx.readings.arrays("local", None, None, sources=["file"])[1]) == {5.4}
        assert "second sensor" in (said := talk.say("/sensor"))
        assert "reads 0.4 mmol/L higher" in said


def test_what_was_measured_in_blood_is_no_sensor_reading() -> None:
    def observation(clock: str, value: float, code: str) -> str:
        return (
            '{"resource": {"resourceType": "Observation", "status": "final", "code": {"coding": [{"system": '
            f'"http://loinc.org", "code": "{code}"}}]}}, "effectiveDateTime": "2026-03-02T{clock}:00+01:00", '
            f'"valueQuantity": {{"value": {value}, "system": "http://unitsofmeasure.org", '
            '"code": "mmol/L"}}}'
        )

    rows = [observation(f"0{h}:{m:02d}", 5.0, "105272-9") for h in (4, 5, 6) for m in range(0, 60, 5)]
    rows += [observation("05:02", 5.6, "41653-7")]
    with talking() as talk:
        said = talk.file(
            '{"resourceType": "Bundle", "type": "collection", "entry": [' + ",".join(rows) + "]}"
        )
        assert said.startswith("37 new readings, ")
        with talk.app.store.read() as tx:
            assert tx.readings.arrays("local", None, None, sources=["meter"])[1] == [5.6]
            assert 5.6 not in tx.readings.arrays("local", None, None, sources=["file"])[1]


def test_a_column_of_finger_pricks_is_kept_apart_from_the_sensors() -> None:
    rows = [(h, m) for h, m in ROWS if h != 5]
    lines = [f"2026-03-02 0{h}:{m:02d},{5 + m / 60:.1f},{'5.6' if m == 30 else ''}" for h, m in rows]
    table = "\n".join(["time,sensor mmol/L,finger-prick mmol/L", *lines, "2026-03-02 05:30,,5.7"])
    with talking() as talk:
        said = talk.file(table)
        assert said.startswith("27 new readings, 04:00 to 06:55")
        assert "but for 04:55 to 06:00" in said, "a finger-prick fills no gap of the sensor's"
        assert "“finger-prick mmol/L” was kept apart, as values of blood." in said
        assert talk.file(table).startswith("0 new readings, 27 known already, ")
        with talk.app.store.read() as tx:
            assert tx.readings.arrays("local", None, None, sources=["meter"])[1] == [5.6, 5.7, 5.6]
            assert len(tx.readings.arrays("local", None, None, sources=["file"])[1]) == 24


def test_a_finger_prick_taken_back_is_gone_from_the_comparison() -> None:
    with talking() as talk:
        talk.say("finger-prick 5.6 at 6:40")
        with talk.app.store.read() as tx:
            assert tx.readings.arrays("local", None, None, sources=["meter"])[1] == [5.6]
        talk.say("undo")
        assert stored(talk) == []
