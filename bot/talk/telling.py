"""What a person tells of themselves: settings are made, facts kept, and what calls for a caution gets it."""

from bot.model.entries import Fact, Setting
from bot.model.messages import Outgoing
from bot.model.naming import join
from bot.reminders.evenings import WEEK_BEGINS
from bot.reply.facts import describe, say_counted
from bot.talk.heard import Heard
from bot.talk.slash_commands import run_command
from bot.talk.trials import end_refused

OF_HEALTH = ("medicine", "pregnancy", "eating disorder", "health")


def tell(heard: Heard, told: tuple[Setting | Fact, ...]) -> list[Outgoing]:
    """Make the settings and keep the facts that a message tells, and answer each."""
    replies: list[Outgoing] = []
    for each in told:
        if isinstance(each, Setting):
            replies += _set(heard, each)
    facts = [each for each in told if isinstance(each, Fact)]
    if facts:
        replies += [_keep(heard, facts), *end_refused(heard)]
    return replies


def _set(heard: Heard, setting: Setting) -> list[Outgoing]:
    person = heard.person
    if setting.what == "erase" and setting.value:
        return [_forget(heard, setting.value)]
    if setting.what == "week":
        for old, _ in heard.tx.facts.told(person.id, "other"):
            if old.value.startswith(WEEK_BEGINS):
                heard.tx.facts.forget(person.id, old)
        fact = Fact("other", f"{WEEK_BEGINS}{setting.value.capitalize()}", setting.said)
        return [_keep(heard, [fact])]
    reply = run_command(
        heard.tx, person, f"/{setting.what} {setting.value}".strip(), heard.incoming.sent_at, ""
    )
    return [] if reply is None else [reply]


def _keep(heard: Heard, facts: list[Fact]) -> Outgoing:
    """Keep facts, and say so."""
    new = [fact for fact in facts if heard.tx.facts.keep(heard.person.id, fact, heard.incoming.sent_at)]
    lines = [f"Noted about you: {join([describe(fact) for fact in new])}."] if new else []
    if not new:
        lines.append("I had that about you already.")
    lines += [said for said in map(say_counted, new) if said]
    if new and len(lines) == 1 and not any(fact.what in OF_HEALTH for fact in new):
        lines.append("“What do you know about me?” shows all of it.")
    return Outgoing(heard.person.id, " ".join(lines))


def _forget(heard: Heard, said: str) -> Outgoing:
    """Drop the facts that some words name."""
    wanted = {word for word in said.lower().split() if len(word) > 2}
    shared = {
        fact: len(wanted & set(f"{fact.value} {fact.said}".lower().replace(";", " ").split()))
        for fact in heard.tx.facts.all(heard.person.id)
    }
    most = max(shared.values(), default=0)
    gone = [fact for fact, count in shared.items() if count == most > 0]
    for fact in gone:
        heard.tx.facts.forget(heard.person.id, fact)
    if gone:
        return Outgoing(heard.person.id, f"Forgotten: {join([describe(fact) for fact in gone])}.")
    return Outgoing(
        heard.person.id, "I know nothing like that about you. “What do you know about me?” shows what I do."
    )
