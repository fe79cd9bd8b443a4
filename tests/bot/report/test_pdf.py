"""The report as a PDF: A4, numbered, its words and those of its pictures to be read, no picture cut."""

import re
import subprocess
import sys
from pathlib import Path

import pypdfium2
import pytest

from bot.app import App
from bot.commandline.report import report
from tests.bot.report.words import sheets_of, stands_on_one, words_of_pictures

A4_PT = (595, 842)


@pytest.fixture(scope="module")
def pdf(month: App, tmp_path_factory: pytest.TempPathFactory) -> bytes:
    out = tmp_path_factory.mktemp("pdf") / "report.pdf"
    report(month, "local", None, None, out)
    return out.read_bytes()


def test_pages_are_a4_and_numbered(pdf: bytes) -> None:
    document = pypdfium2.PdfDocument(pdf)
    for number, sheet in enumerate(document, 1):
        assert [round(side) for side in sheet.get_size()] == list(A4_PT)
        assert f"{number} of {len(document)}" in sheet.get_textpage().get_text_range()


def test_it_is_made_for_screen_readers_and_tells_no_date(pdf: bytes) -> None:
    document = pypdfium2.PdfDocument(pdf)
    assert document.is_tagged()
    kept = document.get_metadata_dict()
    assert kept["Title"].startswith("Your run")
    assert kept["Author"] == kept["CreationDate"] == kept["ModDate"] == ""


def test_pictures_are_drawn_and_lie_whole_on_one_page(pdf: bytes, page: str) -> None:
    sheets, pictures = sheets_of(pdf), words_of_pictures(page)
    assert len(pictures) >= 6
    for words in pictures:
        assert stands_on_one(words, sheets), sorted(words)[:20]


def test_what_stands_in_the_page_stands_in_it(pdf: bytes, page: str) -> None:
    text = "".join(sheets_of(pdf))
    headings = re.findall(r"<h2[^>]*>([^<]*)</h2>", page)
    assert len(headings) > 12
    assert [heading for heading in headings if "".join(heading.split()) not in text] == []


def test_the_page_for_a_clinician_is_one_and_scores_nothing(month: App, tmp_path: Path) -> None:
    out = tmp_path / "page.PDF"
    report(month, "local", None, None, out, "clinician")
    (text,) = sheets_of(out.read_bytes())
    for measure in (
        "Mean",
        "SD",
        "CV",
        "MAGE",
        "MODD",
        "LBGI,HBGI",
        "mmol/L",
        "Timefrom3.9tobelow7.8",
        "Sensorfrom",
    ):
        assert measure in text
    for ours in ("venness", "rule", "try", "worth"):
        assert ours not in text


GROWN = """
import os
from pathlib import Path
from bot.report.parts import Report, Section, Table
from bot.report.pdf import write_pdf

def held_mb():
    return int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6

rows = tuple((f"plate {n}", "pasta with peas, a roll and a pear", f"{n} g") for n in range(250))
held = []
for n in range(7):
    text = f"A report, typeset for the time {n}."
    write_pdf(Report("Your run", (Section(text, (text,), tables=(Table(text, ("a", "b", "c"), rows),)),)), {})
    held.append(held_mb())
print(held[-1] - held[1])
"""


@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="the system does not tell")
def test_nothing_is_kept_of_a_report_that_was_typeset() -> None:
    """Five more reports grow a process by less than what is kept of two."""
    root = Path(__file__).parents[3]
    done = subprocess.run([sys.executable, "-c", GROWN], capture_output=True, text=True, check=True, cwd=root)
    assert float(done.stdout) < 20
