"""A club's data folder, its settings, and its site put together.

The folder holds `club.toml` (settings a person may edit), `secret` (the key of the cookies, made once) and, unless
another database is named, `club.sqlite`.
"""

from __future__ import annotations

import logging
import os
import secrets
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import UTC, tzinfo
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from tutor.bootstrap.club import Club, database_url, open_club
from tutor.bootstrap.places import static_folder
from tutor.bootstrap.post import MailSettings, read_mail
from tutor.errors import Fault, FaultyFileError
from tutor.post.style import House

if TYPE_CHECKING:
    from flask import Flask

SETTINGS = "club.toml"
SECRET = "secret"  # noqa: S105 - a file's name

_FIRST_SETTINGS = """\
# Settings of this club. Changes take effect when the site is started again.
name = "Your club"

# Another database than club.sqlite in this folder, such as
# database = "postgresql+psycopg://tutor@localhost/club"

# The club's time zone, such as "Europe/London": it says when a day ends, and in which hours dates are shown.
zone = "UTC"

# Set to true once the site is reached over HTTPS only: cookies then travel over nothing else.
secure = false

# Host names under which the site may be asked; empty for any.
hosts = []

# Set to true when trainers and organisers must sign in with a second factor (a code that their telephone makes).
second_factor = false

# How many reverse proxies stand before the site, whose forwarded addresses are believed.
proxies = 0

# Rounds by mail; see DEVELOPERS.md for all keys.
# [mail]
# address = "rounds@club.example"
# [mail.smtp]
# host = "mail.club.example"
# user = "rounds"
# password_file = "mail-password"
# [mail.imap]
# host = "mail.club.example"
# user = "rounds"
# password_file = "mail-password"
"""


@dataclass(frozen=True, slots=True)
class ClubSettings:
    """What `club.toml` says.

    Attributes:
        name: The club's name.
        database: URL of the database.
        zone: The club's time zone.
        secure: Whether the site is reached over HTTPS only.
        hosts: Host names under which it may be asked.
        proxies: Reverse proxies before it.
        second_factor: Whether trainers and organisers need a second factor.
        mail: How mail is sent and fetched.
    """

    name: str
    database: str
    zone: tzinfo = UTC
    secure: bool = False
    hosts: tuple[str, ...] = ()
    proxies: int = 0
    second_factor: bool = False
    mail: MailSettings = field(default_factory=MailSettings)


def data_folder(path: Path) -> Path:
    """Make a club's data folder, readable by its owner only, and return it."""
    path.mkdir(parents=True, exist_ok=True, mode=0o700)
    settings = path / SETTINGS
    if not settings.exists():
        settings.write_text(_FIRST_SETTINGS, encoding="utf-8")
    return path


def read_settings(folder: Path) -> ClubSettings:
    """Read a data folder's settings.

    Raises:
        FaultyFileError: If `club.toml` cannot be read or says something impossible.
    """
    path = folder / SETTINGS
    try:
        raw = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise FaultyFileError([Fault(SETTINGS, 0, "", f"it cannot be read ({error})")]) from error
    known: dict[str, type] = {
        "name": str,
        "database": str,
        "zone": str,
        "secure": bool,
        "hosts": list,
        "proxies": int,
        "second_factor": bool,
        "mail": dict,
    }
    faults = [Fault(SETTINGS, 0, key, f"unknown key; known are {', '.join(known)}") for key in raw if key not in known]
    faults += [
        Fault(SETTINGS, 0, key, f"found {raw[key]!r}; a {kind.__name__} is wanted")
        for key, kind in known.items()
        if key in raw and not isinstance(raw[key], kind)
    ]
    if faults:
        raise FaultyFileError(faults)
    settings = ClubSettings(name=raw.get("name", "Your club"), database=raw.get("database") or database_url(folder))
    return replace(
        settings,
        zone=_zone(raw.get("zone", "UTC")),
        secure=raw.get("secure", False),
        hosts=tuple(str(host) for host in raw.get("hosts", [])),
        proxies=raw.get("proxies", 0),
        second_factor=raw.get("second_factor", False),
        mail=read_mail(raw.get("mail", {}), folder, SETTINGS),
    )


def _zone(name: str) -> tzinfo:
    if name == "UTC":
        return UTC
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        says = f"found {name!r}, which is no time zone; give one such as Europe/London"
        raise FaultyFileError([Fault(SETTINGS, 0, "zone", says)]) from error


def cookie_secret(folder: Path) -> str:
    """Return the key of the cookies' signatures, made once and kept."""
    path = folder / SECRET
    try:
        # The first process to come makes it; another one reads what that one wrote.
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return path.read_text(encoding="ascii").strip()
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(secrets.token_urlsafe(48))
    return path.read_text(encoding="ascii").strip()


def open_folder(folder: Path, banks: Iterable[Path] | None = None) -> tuple[Club, ClubSettings]:
    """Open the club of a data folder."""
    settings = read_settings(data_folder(folder))
    house = House(settings.name, settings.zone, settings.mail.address)
    club = open_club(settings.database, banks, zone=settings.zone, house=house, attach_pdf=settings.mail.attach_pdf)
    return club, settings


def site_of(club: Club, settings: ClubSettings, folder: Path, **changes: Any) -> Flask:
    """Return the site of a club.

    Args:
        club: The club.
        settings: Its settings.
        folder: Its data folder.
        changes: Settings that the command line overrides.
    """
    from tutor.web.app import create_site
    from tutor.web.settings import SiteSettings

    site = SiteSettings(
        secret=cookie_secret(folder),
        static=static_folder(),
        club=settings.name,
        zone=settings.zone,
        secure=settings.secure,
        hosts=settings.hosts,
        proxies=settings.proxies,
        second_factor=settings.second_factor,
    )
    let_acts_be_logged()
    return create_site(club, replace(site, **changes))


def let_acts_be_logged() -> None:
    """Let sign-ins and acts on accounts be written to standard error, unless the server has handlers of its own."""
    acts = logging.getLogger("quiescent.acts")
    acts.setLevel(logging.INFO)
    if not acts.hasHandlers():
        acts.addHandler(logging.StreamHandler())
