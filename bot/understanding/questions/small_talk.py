"""Words that only want a word back: thanks, ok, good night, “skipped lunch”. Nothing is noted for them."""

from collections.abc import Sequence

from bot.understanding.pieces.slots import SLOT_WORDS
from bot.understanding.words.tokens import Token
from bot.understanding.words.wordlists import word_set

_THANKS = word_set("thanks thank thx ty cheers danke ta")
_FINE = word_set(
    "ok okay okey k great cool nice perfect yes yep yeah super lovely awesome good fine sure lol haha"
)
_TOO = word_set(
    "you so much very a lot then that's thats got it all that for the help bot again many and day have "
    "mate pal buddy love bud man guys"
)
_HELLO = word_set("hi hello hey hiya heya hallo hullo howdy morning evening afternoon greetings")
_HELLO_TOO = word_set("there again good bot all")
YOU_ARE_WELCOME = "You are welcome."
GOOD = "Good. Tell me the next thing you eat, like “2 slices rye toast at 7:15”."
GOOD_NIGHT = "Good night. Tell me when you are up, like “slept 23:00 to 6:30”."
GOOD_DAY = "Hello. Tell me what you eat, like “2 slices rye toast and an egg at 7:15”."
NOT_EATEN = (
    "Nothing to note then: a meal you skip is simply not there. “How long between meals?” shows your gaps."
)
_SKIPPED = word_set("skipped skip skipping missed no nothing didn't didnt haven't havent hadn't without")
_SKIPPING_TOO = word_set(
    "i had have eat ate eaten any my a for at all today yet again was there this morning so"
)
OFF_SCALE = frozenset({"HI", "LO"})


def read_small_talk(tokens: Sequence[Token]) -> str:
    """Return the friendly answer to a message that is only small talk, "" for any other."""
    words = [t.text for t in tokens if t.kind != "mark"]
    known = set(words)
    if not words or len(words) > 6:
        return ""
    meals = known & SLOT_WORDS.keys()
    together = all(t.text != "," for t in tokens)  # "no, lunch" corrects
    if meals and together and known & _SKIPPED and known <= meals | _SKIPPED | _SKIPPING_TOO:
        return NOT_EATEN
    if known & _THANKS and known <= _THANKS | _FINE | _TOO:
        return YOU_ARE_WELCOME
    if words[0] in ("good", "gute", "night") and words[-1] in ("night", "nacht", "bye"):
        return GOOD_NIGHT if len(words) <= 2 else ""
    if words[0] in _HELLO | {"good"} and known & _HELLO and known <= _HELLO | _HELLO_TOO | _TOO:
        return GOOD_DAY
    return GOOD if known <= _FINE | _TOO and known & _FINE and len(words) <= 3 else ""
