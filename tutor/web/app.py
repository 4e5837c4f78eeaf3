"""The site as a WSGI application, made by a factory: nothing is wired when a module is imported."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from typing import TYPE_CHECKING

from flask import Flask, url_for
from flask_wtf.csrf import CSRFProtect

from tutor.web import filters
from tutor.web.access import load_member
from tutor.web.guards import RowNumber, Sends, refuse_other_sites
from tutor.web.headers import set_headers
from tutor.web.pages import (
    account,
    class_room,
    components,
    courses,
    entry,
    faults,
    help_pages,
    lessons,
    looking_back,
    office,
    papers,
    questions,
    reading,
    rounds,
    sample,
)
from tutor.web.settings import SiteSettings
from tutor.web.views import QuestionViews
from tutor.web.workshop import keep_up_at_times
from tutor.web.workshop import pages as workshop

if TYPE_CHECKING:
    from tutor.web.club import ClubUseCases

LARGEST_REQUEST = 256 * 1024  # bytes


def create_site(club: ClubUseCases, settings: SiteSettings) -> Flask:
    """Return the site of a club.

    Args:
        club: The use cases.
        settings: The site's settings.
    Raises:
        ValueError: If the secret is too short to be one.
    """
    if len(settings.secret) < 32:
        raise ValueError("the secret of the cookies must have at least 32 characters")
    app = Flask(__name__, static_folder=str(settings.static), static_url_path="/static")
    app.config.update(
        SECRET_KEY=settings.secret,
        MAX_CONTENT_LENGTH=LARGEST_REQUEST,
        MAX_FORM_MEMORY_SIZE=LARGEST_REQUEST,
        MAX_FORM_PARTS=400,
        SESSION_COOKIE_NAME="__Host-quiescent" if settings.secure else "quiescent",
        SESSION_COOKIE_SECURE=settings.secure,
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_REFRESH_EACH_REQUEST=False,  # the sign-in has its own end, kept in the database
        PERMANENT_SESSION_LIFETIME=60 * 60 * 24 * 31,
        WTF_CSRF_TIME_LIMIT=None,  # a form may stay open for an evening; the session ends it
        WTF_CSRF_SSL_STRICT=settings.secure,
        SECOND_FACTOR=settings.second_factor,
        TRUSTED_HOSTS=list(settings.hosts) or None,
        SEND_FILE_MAX_AGE_DEFAULT=60 * 60 * 24 * 30,
    )
    app.url_map.converters["int"] = RowNumber
    app.extensions["quiescent"] = club
    app.extensions["quiescent-zone"] = settings.zone
    app.extensions["quiescent-views"] = QuestionViews()
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    app.jinja_env.globals.update(
        club_name=settings.club,
        static=_static_address(app),
        lesson_called=club.shelf.lesson_called,
        topic_called=club.shelf.topic,
    )
    filters.register(app, settings.zone)
    app.before_request(refuse_other_sites)
    CSRFProtect(app)
    for page in (
        entry,
        sample,
        reading,
        help_pages,
        account,
        office,
        lessons,
        courses,
        questions,
        papers,
        looking_back,
        class_room,
        rounds,
        components,
    ):
        app.register_blueprint(page.pages)
    app.register_blueprint(workshop)
    faults.register(app)
    app.before_request(load_member)
    app.before_request(keep_up_at_times)
    app.before_request(Sends(settings.sends_a_minute).refuse_flood)
    app.after_request(set_headers)
    if settings.proxies:
        from werkzeug.middleware.proxy_fix import ProxyFix

        count = settings.proxies
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=count, x_proto=count, x_host=count)  # type: ignore[method-assign]
    return app


def _static_address(app: Flask) -> Callable[[str], str]:
    """Return a function that gives the address of a static file, with a mark that changes when the file does."""
    marks: dict[str, str] = {}

    def static(name: str) -> str:
        if name not in marks:
            path = app.static_folder and f"{app.static_folder}/{name}"
            with open(str(path), "rb") as file:  # noqa: PTH123 - the folder is Flask's own text
                marks[name] = hashlib.sha256(file.read()).hexdigest()[:10]
        return url_for("static", filename=name, v=marks[name])

    return static
