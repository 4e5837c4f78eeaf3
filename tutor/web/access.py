"""Who is asking: the member behind a request, and pages for members only."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar
from urllib.parse import urlsplit

from flask import current_app, g, redirect, request, session, url_for
from werkzeug.exceptions import Forbidden

from tutor.learning.records import Member, Role
from tutor.web.club import the_club

P = ParamSpec("P")
R = TypeVar("R")

TOKEN = "token"  # noqa: S105 - the name of a cookie's field


def load_member() -> None:
    """Look up who is signed in, for pages that need to know."""
    g.member = None
    if request.endpoint in ("static", "reading.read"):  # neither needs to know, and the latter is asked often
        return
    token = session.get(TOKEN)
    if isinstance(token, str):
        g.member = the_club().sign_ins.member_of(token)
        if g.member is None:
            session.pop(TOKEN, None)


def member() -> Member:
    """Return the member that is signed in; only on pages for members."""
    assert g.member is not None
    found: Member = g.member
    return found


def members_only(page: Callable[P, R]) -> Callable[P, R]:
    """Send strangers to the sign-in page, and back again afterwards."""

    @wraps(page)
    def guarded(*args: P.args, **kwargs: P.kwargs) -> R:
        if g.member is None:
            wanted = request.full_path.rstrip("?") if request.method == "GET" else None
            return redirect(url_for("entry.sign_in", next=wanted))  # type: ignore[return-value]  # a response, as the page's
        return page(*args, **kwargs)

    return guarded


def trainers_only(page: Callable[P, R]) -> Callable[P, R]:
    """Open a page to trainers and organisers."""
    return _for_roles(page, Role.TRAINER, Role.ORGANISER)


def organisers_only(page: Callable[P, R]) -> Callable[P, R]:
    """Open a page to organisers."""
    return _for_roles(page, Role.ORGANISER)


def token() -> str:
    """Return the token of the present sign-in."""
    return str(session[TOKEN])


def begin_session(token: str) -> None:
    """Remember a sign-in in the browser: in a new session, so that nothing that stood in the old one survives."""
    session.clear()
    session[TOKEN] = token
    session.permanent = True


def _for_roles(page: Callable[P, R], *roles: Role) -> Callable[P, R]:
    @wraps(page)
    def guarded(*args: P.args, **kwargs: P.kwargs) -> R:
        if member().role not in roles:
            raise Forbidden
        if current_app.config["SECOND_FACTOR"] and not member().second:
            return redirect(url_for("account.second_factor"))  # type: ignore[return-value]  # a response, as the page's
        return page(*args, **kwargs)

    return members_only(guarded)


def safe_address(address: str | None) -> str | None:
    """Return an address if it leads to a page of this site, else None: no open redirects.

    >>> [safe_address(a) for a in ("/lessons/a1-parts", "//elsewhere.example/", "https://elsewhere.example/")]
    ['/lessons/a1-parts', None, None]
    """
    if not address or not address.startswith("/") or address.startswith(("//", "/\\")):
        return None
    if any(ord(character) < 32 or character == "\\" for character in address):
        return None
    parts = urlsplit(address)
    return None if parts.scheme or parts.netloc else address
