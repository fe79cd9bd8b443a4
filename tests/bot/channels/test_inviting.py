"""An invitation in the terminal: its picture holds the link that is written above it."""

from io import StringIO

import segno

from bot.channels.telegram_inviting import word_invitation


def test_the_picture_is_that_of_the_link() -> None:
    link, drawn = "https://t.me/a_bot?start=abc-DEF_123", StringIO()
    segno.make(link, micro=False).terminal(out=drawn, compact=True)
    said = word_invitation("abc-DEF_123", "a_bot")
    assert link in said
    assert said.endswith(drawn.getvalue())
    assert max(len(line) for line in drawn.getvalue().splitlines()) < 60
