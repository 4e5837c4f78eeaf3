"""Headers of every answer: nothing may run, frame or embed that is not the site's own."""

from __future__ import annotations

from flask import Response, request

POLICY = "; ".join(
    (
        "default-src 'none'",
        "style-src 'self'",
        "script-src 'self'",
        "img-src 'self'",
        "font-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "object-src 'none'",
        "frame-ancestors 'none'",
    )
)


def set_headers(response: Response) -> Response:
    """Add the headers to an answer."""
    headers = response.headers
    headers["Content-Security-Policy"] = POLICY
    headers["X-Content-Type-Options"] = "nosniff"
    headers["Referrer-Policy"] = "same-origin"
    headers["Permissions-Policy"] = "camera=(), microphone=(), geolocation=()"
    headers["Cross-Origin-Opener-Policy"] = "same-origin"
    headers["X-Frame-Options"] = "DENY"
    if request.is_secure:
        headers["Strict-Transport-Security"] = "max-age=31536000"
    if request.endpoint != "static":
        headers["Cache-Control"] = "no-store"
    return response
