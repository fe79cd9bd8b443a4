"""Words that only want a word back: thanks, ok, good night, “skipped lunch”. Nothing is noted for them."""

from collections.abc import Sequence

from bot.understanding.pieces.slots import SLOT_WORDS
from bot.understanding.words.lexicon import TAGS
from bot.understanding.words.tokens import Token

YOU_ARE_WELCOME = "You are welcome."
GOOD = "Good. Tell me the next thing you eat, like “2 slices rye toast at 7:15”."
GOOD_NIGHT = "Good night. Tell me when you are up, like “slept 23:00 to 6:30”."
GOOD_DAY = "Hello. Tell me what you eat, like “2 slices rye toast and an egg at 7:15”."
NOT_EATEN = (
    "Nothing to note then: a meal you skip is simply not there. “How long between meals?” shows your gaps."
)


def read_small_talk(tokens: Sequence[Token]) -> str:
    """Return the friendly answer to a message that is only small talk, "" for any other."""
    words = [t.text for t in tokens if t.kind != "mark"]
    known = set(words)
    if not words or len(words) > 6:
        return ""
    meals = known & SLOT_WORDS.keys()
    together = all(t.text != "," for t in tokens)  # "no, lunch" corrects
    if (
        meals
        and together
        and known & TAGS.skipped_chat
        and known <= meals | TAGS.skipped_chat | TAGS.skipping_too
    ):
        return NOT_EATEN
    if known & TAGS.thanks and known <= TAGS.thanks | TAGS.fine | TAGS.too:
        return YOU_ARE_WELCOME
    if words[0] in ("good", "gute", "night") and words[-1] in ("night", "nacht", "bye"):
        return GOOD_NIGHT if len(words) <= 2 else ""
    if (
        words[0] in TAGS.hello | {"good"}
        and known & TAGS.hello
        and known <= TAGS.hello | TAGS.hello_too | TAGS.too
    ):
        return GOOD_DAY
    return GOOD if known <= TAGS.fine | TAGS.too and known & TAGS.fine and len(words) <= 3 else ""
