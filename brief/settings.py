"""Settings, read from the environment (`BRIEF_...`) and overridden by the command line."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated, Literal

from platformdirs import user_data_path
from pydantic import AfterValidator, Field, SecretStr
from pydantic_settings import BaseSettings, SettingsConfigDict


def _expanded(path: Path) -> Path:
    """With ~ for the own folder written out; an unknown ~somebody stays, as in a shell."""
    return Path(os.path.expanduser(path))


class Settings(BaseSettings):
    """Where the data lives, and what the server goes by.

    `home` (BRIEF_HOME): the folder of the database and the images; made on first start. A ~ at
    its beginning is the user's own folder.
    `database_url` (BRIEF_DATABASE_URL): a database on a PostgreSQL server in place of the file in
    that folder, which then holds the images alone. A password in it is never shown.
    `images_url` (BRIEF_IMAGES_URL): a bucket for the images; that folder then holds copies alone.
    `hosts` (BRIEF_HOSTS): names and addresses, between commas, that the server answers to beside
    this computer's own loopback; 0.0.0.0 or :: stands for every address.
    `locked` (BRIEF_LOCKED): whether the owner's passphrase is asked for. It always is where the
    server listens to other devices.
    `tls_only` (BRIEF_TLS_ONLY): whether what comes without TLS is refused.
    `log` (BRIEF_LOG): "json" has each request and whatever goes wrong logged as a line of JSON.
    `metrics` (BRIEF_METRICS): whether requests are counted, for /api/metrics.
    `metrics_token` (BRIEF_METRICS_TOKEN): what opens that address, and nothing else, to who is not
    the owner.
    `scheduler` (BRIEF_SCHEDULER): the Dask cluster that does what takes long; otherwise this
    computer does.
    `addresses`: where other devices find it, the best first; none where it does not answer them.
    """

    model_config = SettingsConfigDict(env_prefix="BRIEF_", env_ignore_empty=True, frozen=True)

    home: Annotated[Path, AfterValidator(_expanded)] = Field(
        default_factory=lambda: user_data_path("luthiers-brief", appauthor=False)
    )
    database_url: SecretStr | None = None
    images_url: SecretStr | None = None
    hosts: str = ""
    locked: bool = False
    tls_only: bool = False
    log: Literal["", "json"] = ""
    metrics: bool = False
    metrics_token: SecretStr | None = None
    scheduler: str = ""
    addresses: tuple[str, ...] = ()

    @property
    def url(self) -> str | None:
        """That of the database on a server, password and all; None if it is a file."""
        return self.database_url.get_secret_value() if self.database_url else None

    @property
    def bucket(self) -> str | None:
        """The URL of the bucket of the images; None if they are in the home's folder."""
        return self.images_url.get_secret_value() if self.images_url else None


def settings_at(home: Path | None) -> Settings:
    """The settings with that home, or with their own if none was named.

    A home that is named has its database and its images in it: a backup or the demo, opened while
    the settings name a server, must not be taken for what is there.
    """
    return Settings(home=home, database_url=None, images_url=None) if home else Settings()
