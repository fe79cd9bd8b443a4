"""TABLENOTE_* variables, read once and checked at start."""

import re
from pathlib import Path
from typing import Annotated, Literal
from urllib.parse import unquote, urlsplit
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import tzlocal
from platformdirs import user_data_path
from pydantic import Field, ValidationError, field_validator
from pydantic_settings import BaseSettings, NoDecode, SettingsConfigDict

from bot.model.errors import BadSetting

Allowed = frozenset[int] | Literal["open"]
LOCAL = "local"


class Settings(BaseSettings):
    """What can be set from outside; every name below has the prefix TABLENOTE_.

    db: SQLAlchemy URL; token, api_url: the messenger's Bot API; allowed: chat numbers beside who took an
    invitation, or "open" for everybody
    webhook_url, webhook_secret: receive updates by webhook instead of long polling
    host, port: where to listen for posted readings, and for the webhook
    metrics: who may read figures of the bot's work at /metrics: nobody, "local" for this machine, or a token
    tz: zone of people who have not set theirs; log, log_format: level of the log, and whether as JSON lines
    messages_per_minute, files_per_day: so much one person may send; 0 for any number
    per_second: so many requests a second the messenger allows a bot, over all processes; 0 for no limit
    copies: so many daily copies of an SQLite database `serve` keeps
    """

    model_config = SettingsConfigDict(env_prefix="TABLENOTE_", env_ignore_empty=True, extra="ignore")

    db: str = Field(default_factory=lambda: f"sqlite:///{data_folder() / 'tablenote.db'}")
    token: str | None = None
    api_url: str | None = None
    allowed: Annotated[Allowed, NoDecode] = frozenset()
    webhook_url: str | None = None
    webhook_secret: str | None = None
    host: str = "127.0.0.1"
    port: int = Field(default=8080, ge=1, le=65535)
    tz: str = Field(default_factory=lambda: tzlocal.get_localzone_name() or "UTC")
    per_second: int = Field(default=30, ge=0, le=1000)
    messages_per_minute: int = Field(default=30, ge=0, le=10_000)
    files_per_day: int = Field(default=60, ge=0, le=10_000)
    copies: int = Field(default=7, ge=0, le=366)
    metrics: str = ""
    log: Literal["DEBUG", "INFO", "WARNING", "ERROR"] = "INFO"
    log_format: Literal["text", "json"] = "text"

    @field_validator("allowed", mode="before")
    @classmethod
    def _split(cls, value: object) -> object:
        if not isinstance(value, str):
            return value
        if value.strip().lower() == "open":
            return "open"
        parts = value.replace(",", " ").split()
        if not all(p.lstrip("-").isdecimal() for p in parts):
            raise ValueError("give chat numbers separated by commas, like 1234,5678, or “open” for everybody")
        return frozenset(int(p) for p in parts)

    @field_validator("metrics")
    @classmethod
    def _hard_to_guess(cls, value: str) -> str:
        if value not in ("", LOCAL) and not re.fullmatch(r"[!-~]{20,}", value):
            raise ValueError(f"write “{LOCAL}”, or a token of at least 20 characters without spaces")
        return value

    @field_validator("api_url", "webhook_url")
    @classmethod
    def _address(cls, value: str | None) -> str | None:
        """Refuse at the start what would be tried in vain for ever."""
        if value is not None and not re.fullmatch(r"https?://[!-~]+", value):
            raise ValueError("write an address that begins with http:// or https://")
        return value

    @field_validator("token")
    @classmethod
    def _without_gaps(cls, value: str | None) -> str | None:
        """A token stands in addresses and in headers, where nothing but visible ASCII can."""
        if value is not None and not re.fullmatch(r"[!-~]+", value):
            raise ValueError("copy the token anew: it holds a space or a character that no token has")
        return value

    @field_validator("tz")
    @classmethod
    def _known_zone(cls, value: str) -> str:
        return read_zone(value).key

    @property
    def secrets(self) -> tuple[str, ...]:
        """What is never to be shown."""
        password = urlsplit(self.db).password
        known = (self.token, self.webhook_secret, password and unquote(password), self.metrics)
        return tuple(secret for secret in known if secret and secret != LOCAL)

    @property
    def address(self) -> str:
        """Where readings can be posted, as far as the settings tell."""
        if self.webhook_url:
            known = urlsplit(self.webhook_url)
            return f"{known.scheme}://{known.netloc}"
        return f"http://{f'[{self.host}]' if ':' in self.host else self.host}:{self.port}"


def data_folder() -> Path:
    """Return the folder for this user's database and pictures."""
    return user_data_path("tablenote", appauthor=False)


def picture_folder(person: str) -> Path:
    """Return the folder for one person's pictures; a name that is no file name is made one."""
    return data_folder() / "pictures" / re.sub(r"[^\w.-]|^\.+", "_", person)


def read_zone(name: str) -> ZoneInfo:
    """Return the zone called `name`; ValueError with a sentence when there is none."""
    try:
        return ZoneInfo(name.strip())
    except (ValueError, ZoneInfoNotFoundError, OSError):
        shown = name.strip()[:40]
        raise ValueError(f"no time zone is called “{shown}”: write it like Europe/Vienna") from None


def load_settings() -> Settings:
    """Read the environment; BadSetting names the first variable that does not make sense."""
    try:
        return Settings()
    except ValidationError as error:
        first = error.errors()[0]
        name = "TABLENOTE_" + "_".join(str(part) for part in first["loc"]).upper()
        raise BadSetting(f"{name}: {first['msg'].removeprefix('Value error, ')}") from None
