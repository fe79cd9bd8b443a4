"""Files that hold no readings: one clear sentence each. The first bytes of other kinds are from memory."""

import gzip
import io
import zipfile

import pytest

from bot.intake import read_file
from bot.model.errors import AskFile, BadFile
from tests.bot.intake.files import VIENNA, Style, readings, write

TABLE = write(readings(), Style())


def zipped(*names: str) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name in names:
            archive.writestr(name, TABLE)
    return out.getvalue()


BAD = {
    "nothing": (b"", "is empty"),
    "blank lines": (b" \r\n\n\t\n", "is empty"),
    "zeros": (b"\0" * 100, "is empty"),
    "broken gzip": (gzip.compress(TABLE)[:-20], "breaks off"),
    "broken zip": (zipped("readings.csv")[:-20], "damaged zip"),
    "a document": (zipped("xl/worksheets/sheet1.xml", "[Content_Types].xml"), "is no .xlsx workbook"),
    "an archive too deep": (gzip.compress(gzip.compress(gzip.compress(TABLE))), "an archive in an archive"),
    "too large": (b"2026-03-02 08:00,5.4\n" * 1_000_000, "larger than 20 MB"),
    "png": (b"\x89PNG\r\n\x1a\n" + bytes(range(256)), "is a picture"),
    "jpeg": (b"\xff\xd8\xff\xe0\x00\x10JFIF" + bytes(range(256)), "is a picture"),
    "webp": (b"RIFF\x24\x00\x00\x00WEBPVP8 " + bytes(64), "is a picture"),
    "heic": (b"\x00\x00\x00\x18ftypheic" + bytes(64), "is a picture"),
    "pdf": (b"%PDF-1.7\n1 0 obj\n", "is a PDF"),
    "database": (b"SQLite format 3\x00" + bytes(200), "is a database"),
    "web page": (b"<!DOCTYPE html><html><body>2026-03-02 08:00,5.4</body></html>", "is a web page"),
    "xml": (b'<?xml version="1.0"?><readings/>', "is an XML file"),
    "json without readings": (b'{"made": "2026-03-02T08:00:00Z", "by": "me"}', "no column of glucose"),
    "broken json": (b'[{"time": "2026-03-02T08:00:00Z", "mmol": 5.4}, {"ti', "is broken JSON (line 1)"),
    "json numbers": (b"[5.4, 5.5]", "is JSON without a list of readings"),
    "noise": (bytes(i * 7919 % 251 for i in range(4000)), "is not a text file"),
    "noise with zeros": (bytes(range(256)) * 8, "is not a text file"),
    "a table with zero bytes": (TABLE + b"\x00\x00", "is not a text file"),
    "a letter": (
        b"Dear friend,\non 2026-03-02 at 08:00 I had 5 rolls.\nYours, the driver\n",
        "begins “Dear friend,”",
    ),
    "a header alone": (b"time,glucose mmol/L\n", "holds no readings"),
    "times without values": (b"time,note\n2026-03-02 08:00,up\n2026-03-02 08:05,out\n", "holds no readings"),
    "values without times": (b"glucose\n5.4\n5.5\n5.6\n", "holds no readings"),
    "days without times": (b"date,glucose mmol/L\n2026-03-02,5.4\n2026-03-03,5.5\n", "holds no readings"),
    "times without days": (b"time,glucose mmol/L\n08:00,5.4\n08:05,5.5\n", "holds no readings"),
    "other numbers": (b"time,steps\n2026-03-02 08:00,8\n2026-03-02 08:05,12\n", "no column of glucose"),
    "values far too large": (
        b"time,glucose\n2026-03-02 08:00,5400\n2026-03-02 08:05,5500\n",
        "no column of glucose",
    ),
    "wrong heading": (
        b"time,glucose mmol/L\n2026-03-02 08:00,98\n2026-03-02 08:05,104\n",
        "said mmol/L, but",
    ),
    "two columns that disagree": (
        b"time,glucose left,glucose right\n2026-03-02 08:00,5.4,6.4\n2026-03-02 08:05,5.5,6.9\n",
        "“glucose left” and “glucose right” could both be the glucose",
    ),
    "two columns and no header": (
        b"2026-03-02 08:00,5.4,9.4\n2026-03-02 08:05,5.5,6.9\n2026-03-02 08:10,5.7,6.1\n",
        "“column 2” and “column 3” could both be the glucose",
    ),
    "nothing within range": (b"time,glucose mmol/L\n2026-03-02 08:00,0.4\n", "no column of glucose"),
}


@pytest.mark.parametrize(("data", "said"), BAD.values(), ids=BAD.keys())
def test_a_bad_file_is_refused_in_one_sentence(data, said):
    with pytest.raises(BadFile) as caught:
        read_file(data, "thing", zone=VIENNA)
    sentence = str(caught.value)
    assert said in sentence
    assert sentence.startswith("thing")
    assert "\n" not in sentence
    assert sentence.endswith("?" if isinstance(caught.value, AskFile) else ".")
    assert len(sentence) < 250
