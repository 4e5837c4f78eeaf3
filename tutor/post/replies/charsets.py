"""Bytes to text, in the encodings that mail has come in since 1998."""

from __future__ import annotations

_MEANT = {
    "unknown": "", "unknown-8bit": "", "x-unknown": "", "default": "", "8bit": "", "binary": "", "none": "",
    # What calls itself so holds the characters of code page 1252 more often than the control codes of the standard
    # (as the WHATWG Encoding Standard decided for web pages: label "iso-8859-1" means windows-1252).
    "us-ascii": "cp1252", "ascii": "cp1252", "iso-8859-1": "cp1252", "latin1": "cp1252", "latin-1": "cp1252",
    "x-ansi": "cp1252", "ansi": "cp1252", "windows-latin-1": "cp1252", "iso8859-1": "cp1252",
    "x-mac-roman": "mac-roman", "macintosh": "mac-roman", "x-sjis": "cp932", "shift_jis": "cp932",
    "ks_c_5601-1987": "cp949", "gb2312": "gb18030", "x-gbk": "gb18030", "iso-8859-8-i": "iso-8859-8",
    "unicode-1-1-utf-7": "utf-7", "x-unicode-2-0-utf-7": "utf-7", "cp-850": "cp850", "ibm850": "cp850",
}  # fmt: skip


_SEVEN_BITS = ("utf-7", "utf7", "iso-2022", "iso2022", "hz")


def to_text(data: bytes, charset: str) -> tuple[str, bool]:
    """Return bytes as text, and whether every byte had a meaning.

    Args:
        data: The bytes.
        charset: As declared; anything may stand there.
    """
    wanted = charset.strip().strip("\"'").lower()
    meant = _MEANT.get(wanted, wanted)
    # UTF-8 proves itself: other encodings do not look like it by accident, declared or not; save those of seven bits.
    for name in (meant, "utf-8") if meant.startswith(_SEVEN_BITS) else ("utf-8", meant):
        try:
            if name:
                return data.decode(name), True
        except (LookupError, UnicodeError, ValueError):
            continue
    try:
        return data.decode("cp1252"), wanted in ("", "us-ascii", "ascii", "iso-8859-1") or wanted in _MEANT
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace"), False
