"""The ids of entries in the data of a button, which holds at most 64 bytes."""

import re
from collections.abc import Sequence

MOST_IDS, MOST_IDS_BYTES = 500, 50


def write_ids(ids: Sequence[int]) -> str:
    """Write entry ids for a button, which holds at most 64 bytes: 3,7-12. Those of one message follow on."""
    runs: list[list[int]] = []
    for one in sorted(ids):
        if runs and one == runs[-1][-1] + 1:
            runs[-1].append(one)
        else:
            runs.append([one])
    said = ""
    for run in runs:
        part = str(run[0]) if len(run) == 1 else f"{run[0]}-{run[-1]}"
        if len(said) + len(part) > MOST_IDS_BYTES:
            break  # the oldest are named; what else there is can still be taken back one by one
        said = f"{said},{part}" if said else part
    return said


def read_ids(said: str) -> list[int]:
    """Read what `write_ids` wrote; anything else gives no ids."""
    ids: list[int] = []
    for first, last in re.findall(r"(?:^|,)([0-9]{1,18})(?:-([0-9]{1,18}))?(?=,|$)", said):
        ids += range(int(first), min(int(last or first), int(first) + MOST_IDS - 1) + 1)
    return ids
