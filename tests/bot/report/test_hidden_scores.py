"""Who hid scores gets none in any report, page or PDF, and neither does whoever is shown it."""

import re
from collections.abc import Iterator
from datetime import timedelta
from itertools import product
from typing import get_args

import pytest

from bot.app import App
from bot.model.clock import SettableClock
from bot.model.messages import ReportVersion
from bot.report.sending import report_between
from tests.bot.report.words import sheets_of
from tests.simulated.logged import FIRST, log_weeks

SECOND = FIRST + timedelta(days=20)
END = SECOND + timedelta(days=7)
KINDS = list(product(get_args(ReportVersion), (False, True)))
OURS = re.compile(
    r"evenness|of100\W|(?:most|more|least|less)even(?!ing)|(?:has|have|with)ascore", re.IGNORECASE
)


@pytest.fixture(scope="module")
def two_runs() -> Iterator[App]:
    """Open a record of two runs with a pause between them."""
    app = App("sqlite://", zone="UTC", unit="mmol/L", clock=SettableClock(END))
    log_weeks(app.store, (END - FIRST).days)
    with app.store.begin() as tx:
        tx.readings.drop("local", FIRST + timedelta(days=5), SECOND, source="file")
    yield app
    app.close()


def text_of(app: App, version: ReportVersion, *, pdf: bool, scores: bool) -> str:
    """Return what a report says, without its spaces."""
    with app.store.begin() as tx:
        tx.people.update("local", scores=scores)
        person = tx.people.get("local")
        assert person is not None
        made = report_between(tx, person, SECOND, END, version=version, pdf=pdf)
    return "".join(sheets_of(made)) if pdf else re.sub(r"base64,[^)\"]*|\s", "", made.decode())


@pytest.mark.parametrize(("version", "pdf"), KINDS)
def test_hidden_scores_are_in_no_report(two_runs: App, version: ReportVersion, pdf: bool) -> None:
    text = text_of(two_runs, version, pdf=pdf, scores=False)
    assert OURS.findall(text) == []
    assert ("Scoresarehidden" in text) is (version != "clinician")
    assert ("Besideyourearlierrun" in text) is (version == "whole")


@pytest.mark.parametrize(("version", "pdf"), KINDS)
def test_shown_ones_are_in_all_but_the_clinicians(two_runs: App, version: ReportVersion, pdf: bool) -> None:
    text = text_of(two_runs, version, pdf=pdf, scores=True)
    assert bool(OURS.findall(text)) is (version != "clinician")
