"""What a failed request to Telegram means, and when it is made again: pure."""

from datetime import timedelta

from telegram.error import BadRequest, NetworkError, RetryAfter, TelegramError

PAUSES_S = (1, 2, 4, 8, 16, 30)
"""Before each new try; the last one goes on where a server cannot be reached."""
BROKEN_PAUSES_S = (*PAUSES_S, 60, 120, 300)
"""The same where the server answers with an error, which may be this message's own: others need not wait."""
UNSURE_PAUSES_S = (2, 300, 1200)
"""Before each new try of a reminder that may have arrived: four copies at most, over 25 minutes."""
UNSURE_REPLY_PAUSES_S = (2, 60)
"""The same of anything else: three copies at most, since one that is missing is worse than one too many."""
LONGEST_IN_ORDER_S = 30
"""Over a longer pause the later messages of the chat go first."""
_NEVER_LEFT = {"ConnectError", "ConnectTimeout", "PoolTimeout", "ProxyError"}  # the HTTP client's names


class Patience:
    """Says, from the failures of one message so far, how long to wait before it is tried again.

    reminder: it may be sent again for longer although it may have arrived
    """

    def __init__(self, *, reminder: bool) -> None:
        self._unsure_pauses = UNSURE_PAUSES_S if reminder else UNSURE_REPLY_PAUSES_S
        self._unreached = self._broken = self._unsure = 0

    def after(self, error: TelegramError, *, repeatable: bool = False) -> float | None:
        """Return the seconds to wait, None when it is not to be tried again.

        repeatable: the request cannot do anything twice
        """
        if isinstance(error, RetryAfter):
            return asked_s(error)
        if may_have_arrived(error) and not repeatable:
            self._unsure += 1
            again = self._unsure <= len(self._unsure_pauses)
            return self._unsure_pauses[self._unsure - 1] if again else None
        if never_left(error) or may_have_arrived(error):
            self._unreached += 1
            return PAUSES_S[min(self._unreached, len(PAUSES_S)) - 1]
        if waits_help(error):
            self._broken += 1
            return BROKEN_PAUSES_S[min(self._broken, len(BROKEN_PAUSES_S)) - 1]
        return None


def keeps_order(error: TelegramError, pause_s: float) -> bool:
    """Tell whether the chat's later messages wait, too: what one is asked to wait for holds for all."""
    return isinstance(error, RetryAfter) or pause_s <= LONGEST_IN_ORDER_S


def asked_s(error: RetryAfter) -> float:
    """Return for how many seconds the server asks for patience."""
    asked = error.retry_after
    return asked.total_seconds() if isinstance(asked, timedelta) else asked


def never_left(error: TelegramError) -> bool:
    """Tell whether the request was not even sent."""
    return isinstance(error, NetworkError) and type(error.__cause__).__name__ in _NEVER_LEFT


def may_have_arrived(error: TelegramError) -> bool:
    """Tell whether the request was sent but its answer never came.

    The library raises such an error from the HTTP client's; an error that the server answered with has no
    cause, or that of an unreadable answer.
    """
    answered = error.__cause__ is None or isinstance(error.__cause__, TelegramError)
    return isinstance(error, NetworkError) and not answered and not never_left(error)


def waits_help(error: TelegramError) -> bool:
    """Tell whether the request was certainly not carried out, and may be if it is sent again later."""
    if isinstance(error, NetworkError):
        return not isinstance(error, BadRequest) and not may_have_arrived(error)
    return isinstance(error, RetryAfter)
