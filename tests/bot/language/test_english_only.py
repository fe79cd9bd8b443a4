"""No module says more past the catalogues than it did."""

from pathlib import Path

from tests.bot.language.english_only import counts, find_english_only, known
from tests.bot.language.english_only import in_file as texts_past


def test_no_new_text_is_said_past_the_catalogues() -> None:
    more = counts() - known()
    new = [f"{one.path}:{one.line} {one.text!r}" for one in find_english_only() if one.path in more]
    assert not more, f"put the new one of these through say(…): {new}"


def test_it_tells_what_goes_past_them(tmp_path: Path) -> None:
    said = 'from bot.language.texts import later, say\nA = later("This one is said.")\n'
    path = tmp_path / "module.py"
    path.write_text(
        f'{said}B = say("So is {{this}}.", this=1)\nC = "This goes past it."\nD = f"And {{C}} too."\n'
    )
    assert [one.text for one in texts_past(path)] == ["This goes past it.", "And {…} too."]
