"""The door does what its description says: schemathesis makes requests from it, good and bad."""

from collections.abc import Iterator
from copy import deepcopy
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from schemathesis.specs.openapi.checks import positive_data_acceptance

from bot.web.openapi import DESCRIPTION
from tests.bot.web.rig import Door, open_door

# Each request gets a good token below, so a lack of one is not to be made up; test_posting.py tries that.
OPEN: Any = deepcopy(DESCRIPTION)
del OPEN["paths"]["/readings"]["post"]["security"]

OPERATIONS = [found.ok() for found in schemathesis.openapi.from_dict(OPEN).get_all_operations()]
STATUSES = {
    "POST /readings": {200, 400, 422},
    "GET /health": {200},
    "GET /openapi.json": {200},
}
EXAMPLE = DESCRIPTION["paths"]["/readings"]["post"]["requestBody"]["content"]["text/csv"]["example"]


@pytest.fixture(scope="module")
def door() -> Iterator[Door]:
    with open_door(burst=1_000_000) as one:
        yield one


def hold_readings(case: schemathesis.Case) -> schemathesis.Case:
    """Let a request hold readings, which data made at random hardly ever do."""
    if case.method == "POST":
        case.body, case.media_type = EXAMPLE, "text/csv"
    return case


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda operation: operation.label)
def test_the_door_keeps_to_its_description(operation: Any, door: Door) -> None:
    """Status, media type, headers and body of each answer are those described, and what is wrong is refused.

    One check is left out, that what fits the schema is accepted: no schema says that a text holds readings.
    """
    made = [operation.as_strategy(generation_mode=mode) for mode in schemathesis.GenerationMode]
    seen: set[int] = set()

    @settings(max_examples=200, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
    @given(st.one_of(*made, made[0].map(hold_readings)))
    def ask(case: schemathesis.Case) -> None:
        response = case.call_and_validate(
            base_url=door.url,
            headers={"Authorization": f"Bearer {door.token}"},
            excluded_checks=[positive_data_acceptance],
        )
        seen.add(response.status_code)

    ask()
    assert seen == STATUSES[operation.label], "else it was not tried thoroughly"
