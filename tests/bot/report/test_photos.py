"""Photos stand beside their meals in one's own report; in a shared one only those marked, without a date."""

import io
import re
from base64 import b64decode
from collections.abc import Iterator
from datetime import timedelta

import pypdfium2
import pytest
from PIL import Image

from bot.model.messages import Attachment, ReportVersion
from bot.report.sending import report_between
from tests.bot.talk.test_photos import jpeg
from tests.talk import MORNING, Talk, talking

SHOWN = re.compile(
    r'<img src="data:image/jpeg;base64,([^"]+)" alt="([^"]*)">\s*<figcaption>([^<]*)</figcaption>'
)


@pytest.fixture
def talk() -> Iterator[Talk]:
    """Open a chat with three photos of meals; two may be shared, one of these of a private meal."""
    with talking() as opened:
        opened.at("12:40")
        show(opened, "200 g cooked rice at 12:30")
        opened.at("15:00")
        show(opened, "an apple at 14:55")
        opened.say("share this photo")
        opened.at("18:30")
        show(opened, "80 g lentils at 18:20")
        opened.say("share this photo")
        opened.say("keep this private")
        yield opened


def show(talk: Talk, caption: str) -> None:
    talk.send(file=Attachment("photo.jpg", jpeg()), text=caption)


def made(talk: Talk, version: ReportVersion, *, pdf: bool = False) -> bytes:
    with talk.app.store.read() as tx:
        person = tx.people.get("local")
        assert person is not None
        since = MORNING - timedelta(days=1)
        return report_between(tx, person, since, since + timedelta(days=3), version=version, pdf=pdf)


def test_ones_own_report_shows_each_beside_its_meal(talk: Talk) -> None:
    found = SHOWN.findall(made(talk, "whole").decode())
    assert [(alt, said.partition(",")[0]) for _, alt, said in found] == [
        ("Cooked rice", "Cooked rice"),
        ("Apple", "Apple"),
        ("Lentils", "Lentils"),
    ]
    assert all(said.endswith(f"{MORNING:%-d %b}") for _, _, said in found)


def test_a_shared_report_shows_what_is_marked_and_not_private_without_a_date(talk: Talk) -> None:
    [(data, alt, said)] = SHOWN.findall(made(talk, "share").decode())
    assert (alt, said) == ("Apple", "Apple, day 1")
    with Image.open(io.BytesIO(b64decode(data))) as photo:
        assert not photo.getexif()
        assert max(photo.size) <= 360


@pytest.mark.parametrize(("version", "n"), [("whole", 3), ("share", 1)])
def test_the_pdf_shows_them_too(talk: Talk, version: ReportVersion, n: int) -> None:
    sheets = pypdfium2.PdfDocument(made(talk, version, pdf=True))
    drawn = [each for sheet in sheets for each in sheet.get_objects() if isinstance(each, pypdfium2.PdfImage)]
    assert len(drawn) == n
