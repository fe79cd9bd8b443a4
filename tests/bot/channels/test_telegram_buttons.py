"""The whole bot behind the messenger: the buttons of offers, and of a change meant for another entry."""

from pathlib import Path

from bot.app import App
from tests.bot.channels.telegram_rig import ME, serving
from tests.botapi import BotApi


def test_offers_and_another_entry_through_the_messenger(api: BotApi, tmp_path: Path) -> None:
    app = App(f"sqlite:///{tmp_path / 'diary.db'}", zone="UTC", unit="mmol/L")
    try:
        with serving(api, app):  # type: ignore[arg-type]
            api.say(ME, "200 g zorbo whirls and 100 g banana")
            note = api.wait_for(1, chat_id=ME)[-1]
            assert note.labels[:2] == ["1", "2"], note.text
            api.press(ME, note, "1")
            chosen = api.wait_for(2, chat_id=ME)[-1]
            assert chosen.text.startswith("Filled in “zorbo whirls”")
            api.say(ME, "dinner yesterday at 18:00: rice 150 g and salmon 100 g")
            api.wait_for(3, chat_id=ME)
            api.say(ME, "add 20 g butter")
            change = api.wait_for(4, chat_id=ME)[-1]
            assert "Another entry" in change.labels
            api.press(ME, change, "Another entry")
            api.wait_for(lambda: change.edits)
            assert "is as it was. Which did you mean?" in change.text
    finally:
        app.close()
