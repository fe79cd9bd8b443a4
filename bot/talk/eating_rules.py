"""Rules of eating in the talk: said, proposed, listed, changed, dropped, put back; and what stays private."""

import re
from collections.abc import Callable

from bot.answers.rules import asks_first, propose_now
from bot.language.texts import later, say
from bot.model.messages import Button, Outgoing
from bot.store import Person, Rule
from bot.talk.changing import pointed_at
from bot.talk.heard import Heard

KEEP, BACK, DROP = "rule keep", "rule back", "rule drop"
OPEN = "entry open"
"""Buttons: the id of the rule, or of the entry."""
MOST_RULES, MOST_CHARACTERS, MOST_PROPOSED = 20, 200, 3
_RULE = r"(?:my |the )?rule (?:number |no\.? ?|#)?"
_NEW = re.compile(
    r"(?:please )?(?:(?:add|keep|note|remember|make|save) )?(?:this |it |that )?(?:as )?(?:a |my )?"
    r"(?:new |own )?rule(?: of eating)?(?: is)?: ?(?P<text>.+)",
    re.IGNORECASE | re.DOTALL,
)
_LIST = re.compile(
    r"/?rules|(?:please )?(?:(?:what|which) (?:are|were)|(?:show|list|tell|give)(?: me)?|what's|see) "
    r"(?:(?:all )?(?:of )?my|the) rules(?: of eating)?(?: please| again| now)?|my rules(?: of eating)?"
    r"|(?:do i have|have i) (?:any )?rules|what rules do i have",
    re.IGNORECASE,
)
_DROP = re.compile(
    rf"(?:please )?(?:drop|delete|remove|forget|scratch|strike|cancel) {_RULE}"
    r"(?P<place>\d{1,2})(?: please)?",
    re.IGNORECASE,
)
_CHANGE = re.compile(
    rf"(?:please )?(?:(?:change|edit|reword|rewrite|make) {_RULE}"
    r"(?P<place>\d{1,2}) ?(?:(?:in)?to|read|say|:)"
    rf"|{_RULE}(?P<at>\d{{1,2}}) ?(?:is now|is|:|should (?:be|say|read))):? ?(?P<text>.+)",
    re.IGNORECASE | re.DOTALL,
)
_PRIVATE = re.compile(
    r"(?:please )?(?:keep|make|mark|leave) (?:this|that|it|the last one|my last note)(?: one)?(?: as)?"
    r" private(?: please)?|(?:this|that|it)(?: one)?(?:'s| is| stays) private|private(?: please)?"
    r"|(?:please )?(?:don't|do not|never) share (?:this|that|it)(?: one)?",
    re.IGNORECASE,
)
_WRAPPED = "“”\"'"
NONE = later("You have no rule yet. Say it in your own words, like “my rule: walk after big dinners”.")
LENGTH = later(
    "A rule has 1 to {most} characters. Say it in your own words, like “my rule: walk after big dinners”."
)
FULL = later("You have {most} rules, which is all I keep: drop one first.")
KEPT = later("Kept as your rule {place}: “{rule}”")


def hear_rules(heard: Heard, text: str) -> Outgoing | None:
    """Answer words about rules of eating and about what is private; None for words about other things."""
    said = re.sub(r"\s+", " ", text.strip().replace("’", "'")).strip(" .!?")
    if not said or len(said) > MOST_CHARACTERS + 60 or heard.incoming.edited:
        return None
    if _LIST.fullmatch(said):
        return list_rules(heard)
    if _PRIVATE.fullmatch(said):
        return _keep_private(heard)
    dropped = _DROP.fullmatch(said)
    if dropped is not None:
        return _with_place(heard, dropped["place"], _drop)
    changed = _CHANGE.fullmatch(said)
    if changed is not None:
        words = _tidy(changed["text"])
        return _with_place(heard, changed["place"] or changed["at"], lambda h, rule: _change(h, rule, words))
    new = _NEW.fullmatch(said)
    return None if new is None else _add(heard, _tidy(new["text"]))


def list_rules(heard: Heard) -> Outgoing:
    """List the rules, and propose what is beyond chance and was not proposed before."""
    tx, person, now = heard.tx, heard.person, heard.incoming.sent_at
    kept = tx.rules.all(person.id)
    lines = [say("Your rules:"), *_numbered(kept)] if kept else [say(NONE)]
    if asks_first(tx, person):
        lines.append(
            say(
                "Because of what you told me of yourself I propose none: please ask a clinician what suits "
                "you."
            )
        )
    known = {rule.text for rule in kept}
    buttons: list[Button] = []
    for one in [each for each in propose_now(tx, person, now) if each.text not in known]:
        rule = tx.rules.propose(person.id, one.text, now)
        if rule is None or len(buttons) == MOST_PROPOSED:
            continue
        lines.append(say("You may make this a rule: “{rule}” {why}", rule=one.text, why=one.why))
        named = say("Keep: {rule}", rule=one.text.rstrip(".")[:40])
        label = named if buttons else say("Keep as my rule")
        buttons.append(Button(label, f"{KEEP}:{rule.id}"))
    if kept:
        lines.append(say("“Change rule 1 to …” or “drop rule 1” changes them."))
    return Outgoing(person.id, "\n".join(lines), buttons=tuple(buttons))


def _add(heard: Heard, words: str) -> Outgoing:
    tx, person = heard.tx, heard.person
    kept = tx.rules.all(person.id)
    if not words or len(words) > MOST_CHARACTERS:
        return Outgoing(person.id, say(LENGTH, most=MOST_CHARACTERS))
    same = next((n for n, rule in enumerate(kept, 1) if rule.text.casefold() == words.casefold()), None)
    if same is not None:
        return Outgoing(person.id, say("That is your rule {place} already.", place=same))
    if len(kept) >= MOST_RULES:
        return Outgoing(person.id, say(FULL, most=MOST_RULES))
    rule = tx.rules.add(person.id, words, heard.incoming.sent_at)
    return _said(person, say(KEPT, place=len(kept) + 1, rule=words), say("Drop it"), f"{DROP}:{rule.id}")


def _with_place(heard: Heard, place: str, do: Callable[[Heard, Rule], Outgoing]) -> Outgoing:
    kept = heard.tx.rules.all(heard.person.id)
    if not kept:
        return Outgoing(heard.person.id, say(NONE))
    if not 1 <= int(place) <= len(kept):
        lines = [say("You have no rule {place}. Your rules:", place=int(place)), *_numbered(kept)]
        return Outgoing(heard.person.id, "\n".join(lines))
    return do(heard, kept[int(place) - 1])


def _drop(heard: Heard, rule: Rule) -> Outgoing:
    heard.tx.rules.end(rule, heard.incoming.sent_at)
    said = say("Dropped: “{rule}”", rule=rule.text)
    return _said(heard.person, said, say("Put it back"), f"{BACK}:{rule.id}")


def _change(heard: Heard, rule: Rule, words: str) -> Outgoing:
    if not words or len(words) > MOST_CHARACTERS:
        return Outgoing(heard.person.id, say(LENGTH, most=MOST_CHARACTERS))
    heard.tx.rules.change(rule, words, heard.incoming.sent_at)
    text = say("Your rule was “{before}”, and is now “{rule}”.", before=rule.text, rule=words)
    return _said(heard.person, text, say("As it was"), f"{BACK}:{rule.id}")


def press_rule(heard: Heard, data: str, *, what: str) -> Outgoing | None:
    """Keep a proposal, put a rule back, or drop one; None for a rule that is not there."""
    tx, person = heard.tx, heard.person
    rule = tx.rules.get(int(data)) if re.fullmatch(r"[0-9]{1,15}", data) else None
    if rule is None or rule.person != person.id:
        return None
    kept = {one.id for one in tx.rules.all(person.id)}
    if what == DROP:
        return _drop(heard, rule) if rule.id in kept else None
    if rule.id in kept:
        return Outgoing(person.id, say("That is a rule of yours already: “{rule}”", rule=rule.text))
    if len(kept) >= MOST_RULES:
        return Outgoing(person.id, say(FULL, most=MOST_RULES))
    tx.rules.keep(rule)
    place = [one.id for one in tx.rules.all(person.id)].index(rule.id) + 1
    return _said(person, say(KEPT, place=place, rule=rule.text), say("Drop it"), f"{DROP}:{rule.id}")


def _keep_private(heard: Heard) -> Outgoing | None:
    """Leave an entry out of what is shared: the one that is answered to, or the one noted last."""
    tx, person = heard.tx, heard.person
    pointed = pointed_at(heard, tx.pending.get(person.id, heard.incoming.sent_at))
    meant = tx.log.last_logged(person.id) if pointed is None else tx.log.get(pointed)
    if meant is None or meant.person != person.id or meant.removed_at is not None:
        return Outgoing(person.id, say("There is nothing noted yet that could stay private."))
    tx.private.mark(person.id, meant.id)
    title = meant.entry.said[:60] or say("your last note")
    text = say(
        "“{note}” stays private: a report that you share leaves it out, with the readings around it.",
        note=title,
    )
    return _said(person, text, say("Not private"), f"{OPEN}:{meant.id}")


def press_open(heard: Heard, data: str) -> Outgoing | None:
    """Make an entry like any other again; None for one that is not theirs."""
    if not re.fullmatch(r"[0-9]{1,15}", data) or int(data) not in heard.tx.private.of(heard.person.id):
        return None
    heard.tx.private.unmark(int(data))
    text = say("That note is private no more: a report that you share may hold it.")
    return Outgoing(heard.person.id, text)


def _numbered(kept: list[Rule]) -> list[str]:
    return [f"{number}. {rule.text}" for number, rule in enumerate(kept, 1)]


def _tidy(words: str) -> str:
    return words.strip().strip(_WRAPPED).strip()


def _said(person: Person, text: str, label: str, data: str) -> Outgoing:
    return Outgoing(person.id, text, buttons=(Button(label, data),))
