"""Who may let others in, and that the code is shown once and kept nowhere."""

from pathlib import Path

import pytest

from bot.model.errors import BadSetting
from bot.reply import fixed
from tests.talk import talking


def test_the_first_person_gets_a_code_that_lets_one_more_in(tmp_path: Path) -> None:
    file = tmp_path / "diary.db"
    with talking(f"sqlite:///{file}") as talk:
        assert talk.say("/invite") == fixed.NO_INVITING
        assert talk.app.let_in(talk.person, talk.app.invite())
        assert talk.say("/invite") == fixed.INVITATION
        code = talk.heard[-1].once
        assert talk.app.let_in("tg:2", code)
        assert not talk.app.let_in("tg:3", code)
    assert code.encode() not in file.read_bytes()


def test_no_more_invitations_than_ten_wait_in_the_chat() -> None:
    with talking() as talk:
        assert talk.app.let_in(talk.person, talk.app.invite())
        code = talk.app.invite()
        said = [talk.say("/invite") for _ in range(14)]
        assert said == [fixed.INVITATION] * 9 + [fixed.INVITATIONS_OUT] * 5
        with pytest.raises(BadSetting, match="10 invitations wait"):
            talk.app.invite()  # nor for whoever runs it
        assert talk.app.let_in("tg:2", code)
        talk.at("12:00", days=8)
        assert talk.say("/invite") == fixed.INVITATION
