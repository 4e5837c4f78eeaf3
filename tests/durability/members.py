"""Members as programs: they practise through the real pages, and send a form again when nobody answered."""

from __future__ import annotations

import http.client
import urllib.error
import urllib.parse
import urllib.request
from dataclasses import dataclass, field
from http.cookiejar import CookieJar
from threading import Event

from tests.web.conftest import PASSWORD, _Forms

Trouble = (urllib.error.URLError, http.client.HTTPException, ConnectionError, TimeoutError)


@dataclass
class Diligent:
    """Somebody who answers question after question.

    Attributes:
        address: Of the site.
        sign_in: Name to sign in with.
        acknowledged: (question, key of the form) that the site said it had taken.
        sent_again: How many forms went out a second time.
    """

    address: str
    sign_in: str
    acknowledged: list[tuple[str, str]] = field(default_factory=list)
    sent_again: int = 0
    refused: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))

    def _ask(self, where: str, fields: dict[str, str] | None = None) -> tuple[str, str]:
        """Return the address that answered and its page."""
        body = None if fields is None else urllib.parse.urlencode(fields).encode()
        request = urllib.request.Request(urllib.parse.urljoin(self.address, where), body)
        with self._opener.open(request, timeout=30) as answer:
            return answer.geturl(), answer.read().decode()

    def _patiently(self, where: str, fields: dict[str, str] | None, stop: Event) -> tuple[str, str] | None:
        """Ask until somebody answers; None when it is time to stop first."""
        first = True
        while True:
            try:
                return self._ask(where, fields)
            except urllib.error.HTTPError as error:
                if error.code != 503:
                    self.refused.append(f"{where}: {error.code}")
                    return None
            except Trouble:
                pass
            if fields is not None and "key" in fields and first:
                self.sent_again += 1
                first = False
            if stop.wait(0.1):
                return None

    def practise(self, stop: Event) -> None:
        """Answer questions until told to stop; what was sent is sent until it is acknowledged."""
        never = Event()
        page = self._patiently("/sign-in", None, never)
        assert page is not None
        fields = self._form(page[1], "/sign-in") | {"sign_in": self.sign_in, "password": PASSWORD}
        self._patiently("/sign-in", fields, never)
        while not stop.is_set():
            page = self._patiently("/lessons/first", None, never)
            assert page is not None
            found = self._patiently("/lessons/first/practice", self._form(page[1], "/practice"), never)
            if found is None:
                continue
            issue = urllib.parse.urlsplit(found[0]).path.removeprefix("/questions/")
            form = self._form(found[1], "/answer")
            typed = {name: "12 V" for name in form if name.startswith("answer-")}
            if self._patiently(f"/questions/{issue}/answer", form | typed, never) is not None:
                self.acknowledged.append((issue, form["key"]))

    @staticmethod
    def _form(page: str, ends: str) -> dict[str, str]:
        parser = _Forms()
        parser.feed(page)
        return next(fields for action, fields in parser.forms if action.endswith(ends))
