"""What a running site is told: nothing is read from the environment here."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, tzinfo
from pathlib import Path


@dataclass(frozen=True, slots=True)
class SiteSettings:
    """Settings of one site.

    Attributes:
        secret: Key of the cookies' signatures; at least 32 characters.
        static: Folder of the static files.
        club: The club's name.
        zone: The club's time zone, in which times are shown.
        secure: Whether the site is served over HTTPS: cookies then travel over nothing else.
        hosts: Host names under which it may be asked; empty for any.
        proxies: How many reverse proxies stand before it, whose forwarded headers are believed.
        second_factor: Whether trainers and organisers need a second factor.
        sends_a_minute: How many forms a member may send a minute, to one process.
    """

    secret: str
    static: Path
    club: str = "Your club"
    zone: tzinfo = UTC
    secure: bool = False
    hosts: tuple[str, ...] = ()
    proxies: int = 0
    second_factor: bool = False
    sends_a_minute: int = 60
