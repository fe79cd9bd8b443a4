"""What the bot counts of its own work, for Prometheus: numbers of things, never whose they are."""

from prometheus_client import CONTENT_TYPE_LATEST as CONTENT_TYPE
from prometheus_client import Counter, Gauge, Histogram, generate_latest

__all__ = ["CONTENT_TYPE"]

_QUICK_S = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 20)
_LATE_S = (1, 5, 15, 30, 60, 180, 900, 3600, 6 * 3600)

UPDATES = Counter("tablenote_updates", "Updates received and stored, by what they are.", ["kind"])
UPDATES_WAITING = Gauge("tablenote_updates_waiting", "Stored updates that are not handled yet.")
TURNS = Histogram("tablenote_turn_seconds", "How long a turn took.", buckets=_QUICK_S)
TURNS_BROKEN = Counter("tablenote_turns_broken", "Turns that broke; their messages are kept.")
MESSAGES_WAITING = Gauge("tablenote_messages_waiting", "Messages of the outbox that are on their way.")
DELIVERIES = Counter("tablenote_deliveries", "Messages, by what became of them.", ["outcome"])
RETRIES = Counter("tablenote_delivery_retries", "Tries to send a message that are made again.")
LATENESS = Histogram(
    "tablenote_reminder_lateness_seconds",
    "How long after it was due a reminder was said.",
    buckets=_LATE_S,
)
FILES = Counter("tablenote_files_read", "Files of readings, by what came of them.", ["outcome"])
DRAWN = Histogram("tablenote_picture_seconds", "How long a picture or file took to make.", ["kind"])
LOGGED = Counter("tablenote_log_records", "Lines of the log, by their level.", ["level"])


def write_metrics() -> bytes:
    """Return all that was counted, in the text form of Prometheus, with figures of the process."""
    return generate_latest()
