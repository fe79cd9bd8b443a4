"""So many readings of one person are kept and no more, by whichever way they come; nothing is half stored."""

from datetime import datetime, timedelta
from pathlib import Path

import pytest

from bot.app import App
from bot.commandline.import_file import import_file
from bot.model.errors import BadFile
from bot.model.messages import Attachment
from bot.store import readings
from bot.talk import incoming_readings
from tests.bot.web.rig import csv_of, open_door
from tests.talk import MORNING, Talk, talking

MOST = 100
SINCE = MORNING - timedelta(days=1)


@pytest.fixture(autouse=True)
def few(monkeypatch: pytest.MonkeyPatch) -> None:
    for module in (readings, incoming_readings):
        monkeypatch.setattr(module, "MOST", MOST)


def rows(first: int, n: int, start: datetime = SINCE) -> str:
    """Return a file of `n` readings, the first of them so many places after the start."""
    return csv_of(start + timedelta(minutes=5 * first), [5.0 + k / 1000 for k in range(n)])


def held(talk: Talk) -> int:
    with talk.app.store.read() as tx:
        return tx.readings.count(talk.person)


def test_a_file_too_many_is_refused_whole_and_what_is_known_needs_no_room() -> None:
    with talking() as talk:
        talk.file(rows(0, 80))
        assert "more than 100 readings of you, which is the most" in talk.file(rows(80, 21), "more.csv")
        assert held(talk) == 80
        assert "80 known already" in talk.file(rows(0, 80))
        assert "20 new readings" in talk.file(rows(60, 40))
        assert held(talk) == MOST
        assert "100 known already" in talk.file(rows(0, 100))
        assert "Nothing of one.csv is stored" in talk.file(rows(100, 1), "one.csv")
        talk.say("undo the file")
        talk.press("Take out")
        assert "1 new reading" in talk.file(rows(100, 1), "one.csv")


def test_a_second_sensor_and_blood_count_too() -> None:
    with talking() as talk:
        talk.file(rows(0, 60))
        talk.send(file=readings_file(rows(0, 41)), text="second sensor")
        assert held(talk) == 60
        pricks = "time,glucose mmol/L,specimen\n" + "\n".join(
            f"{(SINCE + timedelta(minutes=5 * k)).isoformat()},5.5,capillary blood" for k in range(41)
        )
        talk.file(pricks)
        assert held(talk) == 60


def readings_file(data: str) -> Attachment:
    return Attachment("second.csv", data.encode())


def test_it_is_said_in_the_persons_language() -> None:
    with talking() as talk:
        talk.say("/language deutsch")
        said = talk.file(rows(0, 101))
        assert "100 Messwerte" in said
        assert held(talk) == 0


def test_posts_are_bounded_too() -> None:
    with open_door() as door:
        assert door.post(rows(0, 90)).status_code == 200
        refused = door.post(rows(90, 11), Idempotency_Key="k")
        assert refused.status_code == 422
        assert "which is the most" in refused.json()["detail"]
        assert held(door.talk) == 90
        assert door.post(rows(90, 10), Idempotency_Key="k").json()["stored"] == 10


def test_so_is_importing(tmp_path: Path) -> None:
    app = App("sqlite://", zone="Europe/Vienna")
    file = tmp_path / "r.csv"
    file.write_text(rows(0, 101))
    with pytest.raises(BadFile, match="which is the most"):
        import_file(app, file, "local", None, None)
    with app.store.read() as tx:
        assert tx.people.get("local") is None
    app.close()
