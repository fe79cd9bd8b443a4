"""Plays a talk to the whole bot, on a database in memory and a set clock, and says how it ended."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

from bot.app import App
from bot.channels.saying import find_button
from bot.foodtable import FoodTable, load_table
from bot.model.clock import SettableClock
from bot.model.entries_json import to_json
from bot.model.messages import Incoming, Outgoing
from tests.corpus.compare import judge
from tests.talks.corpus import Talk


@cache
def _table() -> FoodTable:
    return load_table()


KINDS = ("meal", "activity", "reading", "sleep", "sync", "sensor", "feeling")
_LONG = timedelta(days=400)


@dataclass
class Outcome:
    """How a talk ended.

    wrong: what is not right, a line each; harmful: another entry changed, or one made up, without a question
    """

    talk: Talk
    wrong: list[str] = field(default_factory=list)
    harmful: list[str] = field(default_factory=list)
    said: list[tuple[str, str]] = field(default_factory=list)


def play(talk: Talk) -> Outcome:
    """Play a talk from its first turn to its last and judge what then stands in the log."""
    zone = ZoneInfo(talk["tz"])
    turns = talk["turns"]
    clock = SettableClock(_at(turns[0], zone) - timedelta(minutes=1))
    app = App("sqlite://", zone=talk["tz"], unit=talk.get("unit", "mmol/L"), clock=clock)
    vars(app)["_table"] = _table()  # read once for all talks
    outcome = Outcome(talk)
    try:
        before: list[dict[str, Any]] = []
        replies: list[Outgoing] = []
        for k, turn in enumerate(turns):
            before = _log(app, zone, clock.now())
            at = max(_at(turn, zone), clock.now())
            while (due := app.next_due_at()) is not None and due <= at:
                clock.move_to(max(due, clock.now()))
                _deliver(app, app.tick())
            clock.move_to(at)
            replies = app.receive(_incoming(turn, k, at))
            _deliver(app, replies)
            outcome.said.append((turn["say"], " // ".join(reply.text for reply in replies)))
        _judge(outcome, before, _log(app, zone, clock.now()), replies, app)
    finally:
        app.close()
    return outcome


def _at(turn: dict[str, Any], zone: ZoneInfo) -> datetime:
    return datetime.fromisoformat(turn["at"]).replace(tzinfo=zone)


def _incoming(turn: dict[str, Any], k: int, at: datetime) -> Incoming:
    edits, answers = turn.get("edits"), turn.get("answers")
    return Incoming(
        person="local",
        update_id=f"t{k}",
        sent_at=at,
        message_id=f"m{k if edits is None else edits}",
        text=turn["say"],
        edited=edits is not None,
        reply_to=None if answers is None else f"m{answers}",
    )


def _deliver(app: App, replies: list[Outgoing]) -> None:
    app.sent({reply.id: f"bot-{reply.id}" for reply in replies if reply.id is not None})


def _log(app: App, zone: ZoneInfo, now: datetime) -> list[dict[str, Any]]:
    with app.store.read() as tx:
        live = tx.log.between("local", KINDS, now - _LONG, now + _LONG)
    return [to_json(logged.entry, zone) for logged in live]


def _judge(
    outcome: Outcome,
    before: list[dict[str, Any]],
    after: list[dict[str, Any]],
    replies: list[Outgoing],
    app: App,
) -> None:
    gold = outcome.talk["gold"]
    asked = any("?" in reply.text for reply in replies)
    wanted = {"entries": gold["log"], "asks": None}
    verdict = judge(wanted, {"entries": after, "asks": []})
    outcome.wrong += verdict.wrong
    made_up = [line for line in verdict.wrong if line.endswith("that was not said")]
    outcome.harmful += made_up if not asked else []
    outcome.harmful += [] if asked else _spoilt(gold["log"], before, after)
    if gold.get("asks") is True and find_button(replies, "") is None and not asked:
        outcome.wrong.append("nothing was asked")
    outcome.wrong += _judge_settings(gold.get("settings") or {}, app)


def _spoilt(
    gold: list[dict[str, Any]], before: list[dict[str, Any]], after: list[dict[str, Any]]
) -> list[str]:
    """Return what was right before the last turn and is no longer."""
    lines = []
    for want in gold:
        if _holds(want, before) and not _holds(want, after):
            lines.append(f"{want['kind']} {want.get('at')} was right before")
    return lines


def _holds(want: dict[str, Any], entries: list[dict[str, Any]]) -> bool:
    return any(
        not judge({"entries": [want], "asks": None}, {"entries": [have], "asks": []}).wrong
        for have in entries
        if have["kind"] == want["kind"]
    )


def _judge_settings(wanted: dict[str, Any], app: App) -> list[str]:
    """Compare what the talk was to change with the person's settings; facts and routines by their number."""
    with app.store.read() as tx:
        person = tx.people.get("local")
        facts = tx.facts.all("local")
    assert person is not None
    have: dict[str, Any] = {
        "unit": person.unit,
        "zone": person.zone.key,
        "quiet": [f"{person.quiet_from:%H:%M}", f"{person.quiet_to:%H:%M}"],
        "remind": {"all": "on", "sync": "less", "none": "off"}[person.remind],
        "lead_min": person.sync_lead_min,
        "memory_h": person.memory_min / 60,
        "sensor_days": person.sensor_days,
        "routines": sum(fact.what == "routine" for fact in facts),
    }
    missing = (
        [] if wanted.get("facts") is None or any(f.what != "routine" for f in facts) else ["no fact is kept"]
    )
    return missing + [
        f"{name}: {have[name]!r}, not {value!r}"
        for name, value in wanted.items()
        if name in have and have[name] != value
    ]
