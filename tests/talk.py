"""A talk with the whole bot in a test: a database in memory, a clock that is set, no channel."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from bot.app import App
from bot.channels.saying import find_button
from bot.model.clock import SettableClock
from bot.model.messages import Attachment, Incoming, Outgoing
from bot.model.units import GlucoseUnit
from bot.store import Logged
from bot.store.records import Manner

VIENNA = ZoneInfo("Europe/Vienna")
MORNING = datetime(2026, 3, 2, 7, 0, tzinfo=VIENNA)


class Talk:
    """Says things to the bot at the clock's time and keeps what it answered."""

    def __init__(self, app: App, clock: SettableClock, person: str = "local") -> None:
        self.app, self.clock, self.person = app, clock, person
        self.heard: list[Outgoing] = []
        self._count = 0

    def at(self, clock_time: str, days: int = 0) -> "Talk":
        hour, minute = (int(part) for part in clock_time.split(":"))
        local = (MORNING + timedelta(days=days)).replace(hour=hour, minute=minute)
        self.clock.move_to(local)
        return self

    def say(self, text: str, **more: object) -> str:
        return self.send(text=text, **more)

    def note(self, text: str) -> str:
        """Say something new, and say so again when asked whether it changes what was noted only just."""
        said = self.say(text)
        return self.press("Something new") if "or something new?" in said else said

    def send(self, **message: object) -> str:
        self._count += 1
        fields: dict[str, object] = {
            "update_id": f"{self.person}-{self._count}",
            "message_id": f"m{self._count}",
            **message,
        }
        incoming = Incoming(person=self.person, sent_at=self.clock.now(), **fields)  # type: ignore[arg-type]
        return self._hear(self.app.receive(incoming))

    def file(self, data: str | bytes, name: str = "readings.csv") -> str:
        raw = data.encode() if isinstance(data, str) else data
        return self.send(file=Attachment(name, raw))

    def press(self, label: str) -> str:
        found = find_button(self.heard, label)
        assert found is not None, f"no button {label}"
        return self.send(press=found[1], message_id=f"bot-{found[0].id}")

    def tick(self) -> str:
        return self._hear(self.app.tick())

    def meals(self) -> list[Logged]:
        return self.logged("meal")

    def logged(self, *kinds: str) -> list[Logged]:
        with self.app.store.read() as tx:
            far = timedelta(days=400)
            return tx.log.between(self.person, kinds, MORNING - far, MORNING + far)

    def _hear(self, messages: list[Outgoing]) -> str:
        self.heard += messages
        for message in messages:
            assert message.id is not None
            assert message.text.strip()
            self.app.sent({message.id: f"bot-{message.id}"})
        return "\n".join(message.text for message in messages)


@contextmanager
def talking(
    url: str = "sqlite://",
    start: datetime = MORNING,
    unit: GlucoseUnit = "mmol/L",
    *,
    cards: bool = False,
    talk: Manner = "full",
) -> Iterator[Talk]:
    """Talk to a new bot; in full, since most tests look at all that is said."""
    clock = SettableClock(start)
    app = App(url, zone="Europe/Vienna", unit=unit, clock=clock, cards=cards, talk=talk)
    try:
        yield Talk(app, clock)
    finally:
        app.close()


def readings_csv(start: datetime, values: list[float], step_min: int = 5) -> str:
    rows = [f"{start + timedelta(minutes=step_min * i):%Y-%m-%d %H:%M},{v:.1f}" for i, v in enumerate(values)]
    return "\n".join(["time,glucose mmol/L", *rows])
