"""The report as a page that stands alone: nothing from outside, nothing twice, the analysis's numbers."""

import json
import re
from collections import Counter
from html.parser import HTMLParser
from pathlib import Path

import pytest

from bot.app import App
from bot.commandline.analyse import analyse
from bot.commandline.report import report
from bot.model.errors import BadSetting
from tests.talk import talking

VOID = {"meta", "br", "hr", "img", "input", "link"}


class Balanced(HTMLParser):
    """Keeps what is open, and complains where something is closed that is not."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.headings: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in VOID:
            self.open.append(tag)
        if re.fullmatch(r"h\d", tag):
            self.headings.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        pass

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_every_element_is_closed_and_the_headings_go_by_steps(page: str) -> None:
    read = Balanced()
    read.feed(page)
    assert not read.open
    assert read.headings[0] == "h1"
    assert set(read.headings[1:]) == {"h2"}


def test_nothing_comes_from_outside(page: str) -> None:
    without_names = re.sub(r'xmlns(?::\w+)?="[^"]*"', "", page)
    assert not re.search(r"(?:src|href)=[\"'](?!#|data:)", without_names)
    assert not re.search(r"url\([\"']?(?!#|data:|\")", without_names)
    assert page.count("<script") == 1
    assert "fetch(" not in page


def test_no_id_is_there_twice_and_each_one_meant_is_there(page: str) -> None:
    ids = Counter(re.findall(r'\sid="([^"]+)"', page))
    assert [name for name, n in ids.items() if n > 1] == []
    meant = {*re.findall(r'href="#([^"]+)"', page), *re.findall(r"url\(#([^)]+)\)", page)}
    meant |= set(re.findall(r'aria-labelledby="([^"]+)"', page))
    assert meant <= ids.keys()


def test_pictures_are_told_in_words_and_their_letters_are_text(page: str) -> None:
    drawn = re.findall(r'role="img" aria-label="([^"]*)"><svg', page)
    assert len(drawn) == page.count("<svg") >= 10
    assert all(len(alt) > 40 for alt in drawn)
    assert page.count("<text") > 100


def test_the_foods_are_those_of_the_analysis(month: App, page: str) -> None:
    found = json.loads(analyse(month, "local", "foods", None, None, as_json=True, out=None))
    rows = re.findall(r'<th scope="row">([^<]*)</th><td>[^<]*</td><td>(\d+)</td>', page)
    assert [(one["name"].capitalize(), str(one["meals"])) for one in found] == rows[: len(found)]


def test_words_of_a_person_are_no_markup() -> None:
    with talking() as talk:
        talk.say("call this <b>my</b> & “bowl”: 40 g oats")
        talk.say("40 g oats and <script>alert(1)</script> at 7:10")
        out = talk.send(text="/report")
        assert "report" in out
        spec = talk.heard[-1].picture
        assert spec is not None
        assert b"<script>alert" not in talk.app.draw(spec, talk.person).page


@pytest.mark.parametrize("said", ["send me the report", "/report", "can you make my report please", "report"])
def test_it_is_sent_as_a_file(said: str) -> None:
    with talking() as talk:
        talk.say("porridge at 7:00")
        talk.say(said)
        spec = talk.heard[-1].picture
        assert spec is not None
        assert spec.file.endswith(".html")
        assert talk.app.draw(spec, talk.person).page.startswith(b"<!doctype html>")


def test_with_nothing_noted_there_is_nothing_to_report(tmp_path: Path) -> None:
    with talking() as talk:
        assert "nothing to report yet" in talk.say("send me the report")
        with pytest.raises(BadSetting, match="Nothing is on record"):
            report(talk.app, talk.person, None, None, tmp_path / "report.html")


def test_a_day_that_is_none_is_refused(month: App, tmp_path: Path) -> None:
    with pytest.raises(BadSetting, match="--since: write a day"):
        report(month, "local", "soon", None, tmp_path / "report.html")
