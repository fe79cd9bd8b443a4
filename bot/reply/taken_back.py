"""What a setting, a word or a fact is again, once a change of it was taken back."""

from collections.abc import Mapping
from datetime import tzinfo
from typing import Any

from bot.language.texts import LANGUAGES, later, say
from bot.model.entries import Fact
from bot.reply import numbers
from bot.reply.facts import describe
from bot.store import Act

_SETTINGS: dict[str, str] = {
    "unit": later("your unit is {value} again"),
    "zone": later("your clock is {value} again"),
    "sync_lead_min": later("I ask {value} before readings are lost again"),
    "memory_min": later("your sensor keeps {value} again"),
    "remind": later("reminders are {value} again"),
    "nudge": later("asking about days without notes is {value} again"),
    "sensor_days": later("your sensors last {value} again"),
    "pictures": later("pictures are {value} again"),
    "language": later("I speak {value} again"),
    "card": later("the card of the day is {value} again"),
    "scores": later("scores are {value} again"),
    "no_checks_until": later("meal checks are as before"),
    "quiet_from": later("your quiet hours are as before"),
    "clock": later("times are written as before"),
}
"""Each setting that is worth a word; what follows from another one is not here."""
_NAMES: dict[str, dict[object, str]] = {
    "remind": {"all": "on", "sync": "only to sync in time", "none": "off"},
    "nudge": {True: "on", False: "off"},
    "card": {True: "on", False: "off"},
    "scores": {True: "shown", False: "hidden"},
    "language": dict(LANGUAGES.items()),
}
PORTION = "portion "
"""How a question begins whose answer is the usual amount from then on."""
FACT_BACK = later("I know again that {fact}")
FACT_GONE = later("I no longer keep that {fact}")
WORD_BACK = later("“{word}” means what it meant before")
WORD_GONE = later("“{word}” is no word of yours")
SHIFTS = later("your shifts are as before")
UNSHARED = later("{words} is shared with nobody any more")
TOKEN_BACK = later("the token that you had before works again")
TOKEN_GONE = later("the new token works no more")
LAYOUT = later("how your files are to be read is as before")
ENDED_FOR_GOOD = later("What you ended stays ended. “Compare my {words} with someone” makes a new code.")
ANSWER = later("I no longer take that amount as usual")
ELSE = later("that is as before")


def word_taken_back(act: Act, zone: tzinfo) -> list[str]:
    """Return what is as it was before an act, a phrase each; none for what only goes with something else."""
    was, now = ([each for each in rows if each not in others] for rows, others in _sides(act))
    said: list[str] = []
    for table, row in was:
        said += _back(table, row, now, zone)
    for table, row in now:
        if table == "facts":
            said.append(say(FACT_GONE, fact=_fact(row)))
        elif table == "personal_words" and not _has_word(was, row["name"]):
            said.append(say(WORD_GONE, word=row["name"]))
        elif table == "shares":
            said.append(say(UNSHARED, words=row["words"]))
        elif table == "tokens" and not was:
            said.append(say(TOKEN_GONE))
        elif table == "file_choices":
            said.append(say(LAYOUT))
        elif table.startswith("shift"):
            said.append(say(SHIFTS))
    return list(dict.fromkeys(said))


def say_ended(act: Act) -> str:
    """Say that a share that was ended does not begin again; nothing where an act ended none."""
    left = {row["id"] for table, row in act.now if table == "shares"}
    ended = [row["words"] for table, row in act.before if table == "shares" and row["id"] not in left]
    return say(ENDED_FOR_GOOD, words=ended[0]) if ended and not left else ""


def _sides(act: Act) -> tuple[Any, Any]:
    return (act.before, act.now), (act.now, act.before)


def _back(table: str, row: Mapping[str, Any], now: Any, zone: tzinfo) -> list[str]:
    """Say one row that is there again, or is another than it was."""
    if table == "people":
        changed = {
            name for other, is_now in now if other == table for name in row if is_now.get(name) != row[name]
        }
        return [
            say(text, value=_value(name, row[name])) for name, text in _SETTINGS.items() if name in changed
        ]
    if table == "facts":
        return [say(FACT_BACK, fact=_fact(row))]
    if table == "personal_words":
        return [say(WORD_BACK, word=row["name"])]
    if table == "shares":
        return []  # said of what stands there now
    if table == "tokens":
        return [say(TOKEN_BACK)]
    if table == "file_choices":
        return [say(LAYOUT)]
    if table == "asked":
        return [say(ANSWER)] if row["about"].startswith(PORTION) else []
    return [say(SHIFTS)]


def _has_word(rows: Any, name: str) -> bool:
    return any(table == "personal_words" and row["name"] == name for table, row in rows)


def _fact(row: Mapping[str, Any]) -> str:
    said = describe(Fact(row["what"], row["value"]))
    return said if row["what"] in ("medicine", "avoids") else f"“{said}”"


def _value(name: str, value: Any) -> str:
    if name in _NAMES:
        return _NAMES[name].get(value, str(value))
    if name == "sensor_days":
        return numbers.count(value, "day")
    return numbers.minutes(value) if name.endswith("_min") else str(value)
