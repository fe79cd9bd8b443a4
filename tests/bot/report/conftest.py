from collections.abc import Iterator
from datetime import timedelta

import pytest

from bot.app import App
from bot.commandline.report import report
from bot.model.clock import SettableClock
from tests.bot.talk.test_photos import jpeg
from tests.simulated.logged import FIRST, log_weeks

DAYS = 14


@pytest.fixture(scope="session")
def month() -> Iterator[App]:
    app = App("sqlite://", zone="UTC", unit="mmol/L", clock=SettableClock(FIRST + timedelta(days=DAYS)))
    log_weeks(app.store, DAYS)
    with app.store.begin() as tx:
        for meal, colour in zip(tx.log.last("local", n=3), ("teal", "orange", "maroon"), strict=True):
            photo = tx.photos.add("local", jpeg(colour), at=meal.at, message_id=None)
            tx.photos.put_with(photo, meal.id)
            tx.photos.share(photo, shared=colour == "teal")
    yield app
    app.close()


@pytest.fixture(scope="session")
def page(month: App, tmp_path_factory: pytest.TempPathFactory) -> str:
    out = tmp_path_factory.mktemp("report") / "report.html"
    assert str(out) in report(month, "local", None, None, out)
    return out.read_text(encoding="utf-8")
