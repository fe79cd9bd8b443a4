"""Reading the body of a request: never more of it than is allowed, and not for ever."""

import asyncio

from starlette.exceptions import HTTPException
from starlette.requests import Request

WITHIN_S = 60.0
_DRAIN_TIMES = 3


async def read_body(request: Request, most: int) -> bytes:
    """Return the body; 413 when it has more than `most` bytes, 408 when it does not come in time.

    What is too much is taken from the line and dropped, up to three times `most`: a client that is cut off
    while it still sends would never see the answer.
    """
    declared = request.headers.get("content-length", "")
    size, parts = 0, list[bytes]()
    if declared.isdecimal() and int(declared) > _DRAIN_TIMES * most:
        raise _too_large(most)
    try:
        async with asyncio.timeout(WITHIN_S):
            async for part in request.stream():
                size += len(part)
                if size <= most:
                    parts.append(part)
                else:
                    parts.clear()
                if size > _DRAIN_TIMES * most:
                    break
    except TimeoutError:
        raise HTTPException(
            408, f"The body did not come within {WITHIN_S:g} s; send it again.", {"Connection": "close"}
        ) from None
    if size > most:
        raise _too_large(most)
    return b"".join(parts)


def _too_large(most: int) -> HTTPException:
    said = f"The body is larger than {most / 1_000_000:g} MB; send a shorter span of days."
    return HTTPException(413, said, {"Connection": "close"})
