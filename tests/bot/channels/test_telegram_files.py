"""A report goes out as a file under the name of what it is."""

import pytest
from telegram import Bot

from bot.channels.telegram_requests import plan_new
from bot.model.messages import Outgoing, Picture


@pytest.mark.parametrize(("page", "name"), [(b"%PDF-1.7", "report.pdf"), (b"<!doctype html>", "report.html")])
def test_a_report_is_named_by_what_it_is(page: bytes, name: str) -> None:
    (send,) = plan_new(Bot("1:a"), 7, Outgoing("tg:7", "Here it is."), [Picture("report", b"", "alt", page)])
    assert send.keywords["filename"] == name  # type: ignore[attr-defined]  # a partial
