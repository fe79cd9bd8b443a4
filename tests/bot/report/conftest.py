from collections.abc import Iterator
from datetime import timedelta

import pytest

from bot.app import App
from bot.commandline.report import report
from bot.model.clock import SettableClock
from tests.simulated.logged import FIRST, log_weeks

DAYS = 14


@pytest.fixture(scope="session")
def month() -> Iterator[App]:
    app = App("sqlite://", zone="UTC", unit="mmol/L", clock=SettableClock(FIRST + timedelta(days=DAYS)))
    log_weeks(app.store, DAYS)
    yield app
    app.close()


@pytest.fixture(scope="session")
def page(month: App, tmp_path_factory: pytest.TempPathFactory) -> str:
    out = tmp_path_factory.mktemp("report") / "report.html"
    assert str(out) in report(month, "local", None, None, out)
    return out.read_text(encoding="utf-8")
