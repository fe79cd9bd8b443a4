"""All that is held, sent in the chat: complete, in packages of bounded size, to nobody else."""

import io
import json
import zipfile
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest
from fhir.resources.R4B.bundle import Bundle
from PIL import Image

from bot.answers import all_held
from bot.model.messages import Attachment, Outgoing
from tests.bot.channels.serving import run_serve
from tests.botapi import BotApi
from tests.talk import MORNING, Talk, readings_csv, talking


@pytest.fixture
def talk() -> Iterator[Talk]:
    with talking() as one:
        one.at("8:00").say("80 g oats with 200 ml milk at 7:00")
        one.at("11:00").file(readings_csv(MORNING, [5.0 + n % 20 / 10 for n in range(48)]))
        yield one


def unpack(talk: Talk, message: Outgoing) -> dict[str, bytes]:
    (spec,) = message.drawn
    picture = talk.app.draw(spec, talk.person)
    assert picture.file == spec.file
    with zipfile.ZipFile(io.BytesIO(picture.page)) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def show(talk: Talk, number: int) -> bytes:
    data = io.BytesIO()
    Image.frombytes("RGB", (64, 64), Random(number).randbytes(3 * 64 * 64)).save(data, "JPEG")
    talk.send(file=Attachment("photo.jpg", data.getvalue()), text=f"an apple at {8 + number}:30")
    return data.getvalue()


@pytest.mark.parametrize("said", ["send me all my data", "What do you hold about me?", "/export"])
def test_it_is_asked_for_in_words_and_by_a_command(talk: Talk, said: str) -> None:
    assert talk.say(said).startswith("Here is everything I hold about you")
    assert talk.heard[-1].drawn[0].kind == "everything"


def test_what_is_sent_is_complete(talk: Talk) -> None:
    show(talk, 1)
    talk.say("send me all my data")
    (message,) = [one for one in talk.heard[-1:] if one.drawn]
    assert message.drawn[0].file == "everything-2026-03-02.zip"
    files = unpack(talk, message)
    assert {
        "README.txt",
        "everything.json",
        "notes.csv",
        "readings.csv",
        "record.fhir.json",
        "report.html",
    } <= {*files}
    assert Bundle.model_validate(json.loads(files["record.fhir.json"]))
    held = json.loads(files["everything.json"])
    assert len(held["readings"]) == 48
    assert files[held["photos"][0]["jpeg"]].startswith(b"\xff\xd8\xff")
    assert any(row["text"].startswith("Here is everything") for row in held["outbox"])


def test_photos_beyond_the_size_come_by_the_button(talk: Talk, monkeypatch: pytest.MonkeyPatch) -> None:
    talk.at("22:00")
    for number in range(5):
        show(talk, number)
    with talk.app.store.read() as tx:
        two_largest = sorted(size for _, size in tx.photos.sizes(talk.person))[-2:]
    monkeypatch.setattr(all_held, "MOST_BYTES", sum(two_largest))
    talk.say("/export")
    found = [unpack(talk, talk.heard[-1])]
    while talk.heard[-1].buttons:
        talk.press("Next photos")
        found.append(unpack(talk, talk.heard[-1]))
    assert len(found) == 3
    named = [row["jpeg"] for row in json.loads(found[0]["everything.json"])["photos"]]
    assert sorted(named) == sorted(name for files in found for name in files if name.endswith(".jpg"))
    assert "README.txt" not in found[1]


def test_a_button_of_photos_that_are_gone_sends_what_is_left(talk: Talk) -> None:
    said = talk.send(press="everything:7", message_id="bot-1")
    assert said.startswith("Here is everything")
    assert "not here" not in said
    assert talk.send(press="everything:x", message_id="bot-1")
    assert not talk.heard[-1].drawn


def test_nobody_elses_is_in_it(talk: Talk) -> None:
    other = Talk(talk.app, talk.clock, "tg:8")
    other.say("60 g of a secret pudding at 7:10")
    other_photo = show(other, 1)
    talk.say("send me all my data")
    files = unpack(talk, talk.heard[-1])
    assert not [name for name, content in files.items() if b"pudding" in content or content == other_photo]
    (spec,) = talk.heard[-1].drawn
    taken = talk.app.draw(spec, "tg:8")  # whoever it is drawn for gets their own
    with zipfile.ZipFile(io.BytesIO(taken.page)) as packed:
        assert b"oats" not in packed.read("notes.csv")


def test_it_goes_as_a_file_to_the_chat_that_asked(tmp_path: Path) -> None:
    with BotApi() as api, run_serve(api, tmp_path / "bot.db"):
        api.say(8, "60 g of pudding at 7:10")
        api.say(7, "send me all my data")
        api.wait_for(lambda: any(one.file for one in api.messages), timeout=20)
        (sent,) = [one for one in api.messages if one.file]
    assert (sent.chat_id, sent.kind) == (7, "document")
    assert sent.file_name.startswith("everything-")
    assert sent.text.startswith("Here is everything")
    with zipfile.ZipFile(io.BytesIO(sent.file)) as packed:
        assert not [name for name in packed.namelist() if b"pudding" in packed.read(name)]
