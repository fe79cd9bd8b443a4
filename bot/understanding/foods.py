"""The foods of a clause: which words belong to which amount, and what each becomes as an `Item`."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from bot.entries import Extra, Item
from bot.foodtable import FoodTable, Match
from bot.understanding.pieces import Amount, Clause, Moment, Piece, SlotWord
from bot.understanding.tokens import Token
from bot.understanding.units_said import UNITS
from bot.understanding.weighing import weigh_extra, weigh_known, weigh_unknown
from bot.understanding.wordlists import word_set

FILLER = word_set(
    "had have having has ate eaten eating eat eats just i i've ive i'm we we've my our the then of also "
    "drank drinking drunk was were it this that for a an to is there so ok okay well me myself again more "
    "only both got grabbed finished made cooked enjoyed nice lovely leftover leftovers homemade quick "
    "please thanks sorry lol btw early late shift break nights night later like abt bout after afterwards "
    "before first second last some any other followed by too as meal food log note record start starting "
    "started did do about around hi hello hey day's extra in at from"
)
EATING = word_set("had ate eaten eating eat drank drinking drunk having have grabbed finished")
# Words that only say how a food was: by themselves they belong to the food before them.
_MANNER = word_set(
    "cooked raw dry dried boiled fried grilled baked steamed roasted roast poached scrambled mashed plain "
    "black white unsweetened sweetened semi skimmed skim whole full fat low lowfat light diet decaf fresh "
    "frozen tinned canned toasted untoasted buttered wholemeal wholegrain brown dark salted unsalted hot "
    "cold iced cooled warm peeled unpeeled large small medium"
)
SURE_WITHIN = 0.6
_PLACE = frozenset({"at", "in", "on"})


@dataclass(slots=True)
class Said:
    """One food as said: its words, its amount, where it stands; `leads` are its clause's separators."""

    words: list[str]
    amount: Amount | None
    start: int
    end: int
    leads: frozenset[str] = field(default=frozenset())
    match: Match | None = None

    @property
    def name(self) -> str:
        """Its words as one name."""
        return " ".join(self.words)

    @property
    def is_extra(self) -> bool:
        """It is taken for its effect: vinegar, cinnamon."""
        return bool(self.words) and (
            self.words[-1] in ("vinegar", "acv") or self.words in (["cinnamon"], ["ground", "cinnamon"])
        )


def read_foods(clause: Clause, table: FoodTable, before: Said | None) -> list[Said]:
    """Return the foods of a clause; an amount or a manner by itself is added to the food `before` instead."""
    found = _group([p for p in clause.pieces if not isinstance(p, Moment | SlotWord)], clause.leads)
    foods: list[Said] = []
    for said in found:
        last = foods[-1] if foods else before
        if not said.words:
            if said.amount is not None and last is not None and _completes(said.amount, last.amount):
                last.amount = said.amount
                last.end = max(last.end, said.end)
            continue
        if last is not None and said.amount is None and set(said.words) <= _MANNER and not foods:
            last.words[:0] = said.words
            last.match = table.match(last.name)
            last.end = max(last.end, said.end)
            continue
        if foods and said.amount is not None and set(said.words) <= _MANNER and foods[-1].amount is None:
            last = foods[-1]  # "potatoes 200 g boiled"
            last.words[:0], last.amount, last.end = said.words, said.amount, said.end
            last.match = table.match(last.name)
            continue
        said.match = table.match(said.name) or _match_within(said, table)
        _part_unit(said, table)
        foods += _part_names(said, table)
    return foods


def _match_within(said: Said, table: FoodTable) -> Match | None:
    """Find a known food at the end of words that are not known as a whole ("my kids' special lasagne")."""
    for start in range(1, len(said.words)):
        words = said.words[start:]
        if table.starts(words) == len(words):
            match = table.match(" ".join(words))
            return None if match is None else replace(match, sure=min(match.sure, SURE_WITHIN))
    return None


def _completes(new: Amount, old: Amount | None) -> bool:
    if old is None or old.vague or old.article:
        return True
    return new.unit in ("g", "kg", "oz", "lb", "ml") and old.unit not in ("g", "kg", "oz", "lb", "ml")


def _group(pieces: Sequence[Piece], leads: frozenset[str]) -> list[Said]:
    """Give each run of words its amount: the one before it, or the one after it when that is the style."""
    pieces = [p for p in _without_place(pieces) if isinstance(p, Amount) or p.text not in FILLER]  # type: ignore[union-attr]
    measured = sum(isinstance(p, Amount) and bool(p.unit) for p in pieces)
    trailing = (
        bool(pieces) and isinstance(pieces[0], Token) and (isinstance(pieces[-1], Amount) or measured > 1)
    )
    groups: list[Said] = []
    words: list[Token] = []
    amount: Amount | None = None

    def close() -> None:
        nonlocal words, amount
        parts: list[Piece] = [*words] if amount is None else [amount, *words]
        if parts:
            start, end = min(p.start for p in parts), max(p.end for p in parts)
            groups.append(Said([w.text for w in words], amount, start, end, leads))
        words, amount = [], None

    for piece in pieces:
        if isinstance(piece, Token):
            if piece.kind != "mark":
                words.append(piece)
            continue
        assert isinstance(piece, Amount)
        if trailing:
            if amount is not None and words:
                close()
            amount = _merge(amount, piece)
            if words:
                close()
            continue
        if words:
            close()
        amount = _merge(amount, piece)
    close()
    return groups


def _merge(first: Amount | None, second: Amount) -> Amount:
    """Make one amount of two neighbours: "2 200 ml" is a product, "1 slice 30 g" is the second."""
    if first is None or first.unit or first.article or first.vague or not second.unit:
        return second
    return Amount(first.start, second.end, first.value * second.value, second.unit, size=second.size)


def _without_place(pieces: Sequence[Piece]) -> list[Piece]:
    """Leave out where it was eaten: "at the office", "on the train", "in the canteen"."""
    kept: list[Piece] = []
    for i, piece in enumerate(pieces):
        if isinstance(piece, Token) and piece.text in _PLACE and kept:
            following = pieces[i + 1] if i + 1 < len(pieces) else None
            if piece.text == "in" and isinstance(following, Token) and following.text == "water":
                break
            if isinstance(following, Token) and (
                piece.text == "at" or following.text in ("the", "my", "our")
            ):
                break
        kept.append(piece)
    return kept


def _part_unit(said: Said, table: FoodTable) -> None:
    """Read a unit behind the food: "2 garlic cloves", "3 rye bread slices"."""
    amount = said.amount
    unit = UNITS.get(said.words[-1])
    if unit is None or len(said.words) < 2 or amount is None or amount.unit or len(unit) < 3:
        return
    if table.starts(said.words) == len(said.words):
        return
    match = table.match(" ".join(said.words[:-1]))
    if match is not None and table.weigh(match, unit, amount.size) is not None:
        said.words.pop()
        said.match = match
        said.amount = Amount(
            amount.start, amount.end, amount.value, unit, amount.low, amount.high, amount.size, amount.about
        )


def _part_names(said: Said, table: FoodTable) -> list[Said]:
    """Cut words that are several known names in a row ("rice chicken broccoli") into their foods."""
    if len(said.words) < 2 or (said.match is not None and said.match.sure >= 0.8):
        return [said]
    rest, parts = said.words, []
    while rest:
        known = table.starts(rest)
        if not known:
            return [said]
        parts.append(rest[:known])
        rest = rest[known:]
    if len(parts) < 2:
        return [said]
    return [
        Said(
            words,
            said.amount if n == 0 else None,
            said.start,
            said.end,
            said.leads,
            table.match(" ".join(words)),
        )
        for n, words in enumerate(parts)
    ]


def make_item(said: Said, text: str, table: FoodTable) -> Item:
    """Return the item that a food as said stands for."""
    words = " ".join(text[said.start : said.end].split())
    if said.match is None:
        weight = weigh_unknown(said.amount)
        return Item(words, said.name, None, weight.grams, weight.low, weight.high, weight.stated, 0.0)
    match = said.match
    weight = weigh_known(said.amount, match, table)
    return Item(
        said=words,
        name=match.name,
        food=match.food.description,
        grams=weight.grams,
        grams_low=weight.low,
        grams_high=weight.high,
        stated=weight.stated,
        sure=match.sure,
        nutrients=match.food.per_100g.scaled(weight.grams / 100),
        assumed="; ".join(part for part in (match.assumed, weight.assumed) if part),
    )


def make_extra(said: Said, table: FoodTable) -> Extra:
    """Return the extra that a food as said stands for."""
    return Extra(
        "cinnamon" if "cinnamon" in said.words else "vinegar", weigh_extra(said.amount, said.words, table)
    )
