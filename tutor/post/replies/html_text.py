"""HTML mail to lines of text: paragraphs, lists with their numbers, quotations marked with `>`."""

from __future__ import annotations

from html.parser import HTMLParser

_BREAKS = frozenset({
    "p", "div", "br", "tr", "table", "ul", "ol", "li", "h1", "h2", "h3", "h4", "h5", "h6", "hr", "pre", "blockquote",
    "section", "article", "header", "footer", "dl", "dt", "dd", "form", "fieldset",
})  # fmt: skip
_SILENT = frozenset({"script", "style", "head", "title", "template", "noscript", "svg", "object"})
_VOID = frozenset(
    {"br", "hr", "img", "input", "meta", "link", "area", "base", "col", "embed", "source", "track", "wbr"}
)
_DEEPEST = 500


def text_of_html(html: str) -> str:
    """Return the words of a page, line by line; never raises."""
    reader = _Words()
    try:
        reader.feed(html)
        reader.close()
    except (AssertionError, ValueError, RecursionError):
        # The standard library's reader gives up on some broken declarations; what it had read by then stands.
        reader.broken = True
    return reader.text()


class _Words(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.broken = False
        self._lines: list[tuple[int, str]] = []
        self._line: list[str] = []
        self._open: list[str] = []
        self._quotes: list[int] = []
        self._lists: list[int | None] = []
        self._silent = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in _BREAKS:
            self._end_line()
        if tag in ("td", "th") and self._line:
            self._line.append("\t")
        if tag in _VOID or len(self._open) > _DEEPEST:
            return
        found = {name: (value or "") for name, value in attrs}
        self._open.append(tag)
        if tag in _SILENT or _is_hidden(found):
            self._silent += 1
            self._open[-1] = f"!{tag}"
        elif tag == "blockquote":
            self._quotes.append(len(self._open))
        elif tag in ("ol", "ul"):
            self._lists.append(_first_number(found) if tag == "ol" else None)
        elif tag == "li" and self._lists:
            self._item(found)

    def _item(self, found: dict[str, str]) -> None:
        number = self._lists[-1]
        if number is not None:
            value = found.get("value", "")
            number = int(value) if value.isascii() and value.isdigit() and len(value) < 5 else number
            self._line.append(f"{number}. ")
            self._lists[-1] = number + 1

    def handle_endtag(self, tag: str) -> None:
        if tag in _BREAKS:
            self._end_line()
        if tag not in self._open and f"!{tag}" not in self._open:
            return
        while self._open:
            closed = self._open.pop()
            self._silent -= closed.startswith("!")
            if self._quotes and self._quotes[-1] > len(self._open):
                self._quotes.pop()
            if closed in ("ol", "ul") and self._lists:
                self._lists.pop()
            if closed.lstrip("!") == tag:
                return

    def handle_data(self, data: str) -> None:
        if self._silent:
            return
        if "pre" in self._open:
            first, *others = data.split("\n")
            self._line.append(first)
            for line in others:
                self._end_line()
                self._line.append(line)
        else:
            self._line.append(data.replace("\n", " ").replace("\r", " "))

    def _end_line(self) -> None:
        if self._line:
            words = " ".join("".join(self._line).replace("\t", "\x00").split()).replace("\x00", "\t")
            self._lines.append((len(self._quotes), words))
            self._line = []

    def text(self) -> str:
        self._end_line()
        return "\n".join(f"{'> ' * depth}{words}" for depth, words in self._lines if words) + "\n"


def _first_number(found: dict[str, str]) -> int:
    start = found.get("start", "")
    return int(start) if start.isascii() and start.isdigit() and len(start) < 5 else 1


def _is_hidden(found: dict[str, str]) -> bool:
    style = found.get("style", "").replace(" ", "").lower()
    return "hidden" in found or "display:none" in style or "visibility:hidden" in style
