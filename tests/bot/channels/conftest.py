from collections.abc import Iterator

import pytest

from tests.botapi import BotApi


@pytest.fixture
def api() -> Iterator[BotApi]:
    with BotApi() as server:
        yield server
