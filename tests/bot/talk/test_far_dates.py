from pathlib import Path

import pytest

from bot.channels.script import read_script
from bot.commandline.understand import explain
from bot.model.errors import BadScript, BadSetting
from tests.talk import talking


@pytest.mark.parametrize("day", ["0001-01-01", "1900-01-01", "2024-12-31"])
def test_a_day_years_ago_is_asked_about(day: str) -> None:
    with talking() as talk:
        assert f"{day} is years ago" in talk.say(f"toast on {day} at 00:00")
        assert talk.meals() == []


def test_last_year_is_a_day() -> None:
    with talking() as talk:
        assert talk.say("toast on 2025-12-31 at 20:00").startswith("Noted")


@pytest.mark.parametrize("now", ["0001-01-01T00:00", "9999-12-31T23:59", "0001-01-01T00:00+05:00"])
def test_now_lies_within_the_calendar(now: str) -> None:
    with pytest.raises(BadSetting, match="no time at which"):
        explain("toast 20 min ago", now=now, tz="Europe/Vienna")


@pytest.mark.parametrize("year", ["0001", "9999"])
def test_a_script_lies_within_the_calendar(tmp_path: Path, year: str) -> None:
    file = tmp_path / "s.chat"
    file.write_text(f"zone: Europe/Vienna\n\n{year}-12-31 23:59 me: synced\n", encoding="utf-8")
    with pytest.raises(BadScript, match="line 3"):
        read_script(file)
