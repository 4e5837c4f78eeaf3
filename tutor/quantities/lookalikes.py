"""Signs that look alike made one: the minus of a word processor, the Greek mu, full-width figures.

Members paste from mail, word processors and telephones; nothing here depends on a locale.
"""

import re
import unicodedata

_SUPERSCRIPT_RUN = re.compile("[⁰¹²³⁴-⁹⁺⁻]+")
_FROM_SUPERSCRIPT = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻", "0123456789+-")
_INVISIBLE = "\u200b\u200c\u200d\u2060\ufeff\u00ad"
_ALIKE = str.maketrans(
    {
        **dict.fromkeys("−–—‒‐‑﹣－", "-"),
        **dict.fromkeys("⋅∙•‧・", "·"),
        **dict.fromkeys("’‘ʼ", "'"),
        **dict.fromkeys("º˚∘", "°"),
        **dict.fromkeys("≃≅∼～", "≈"),
        **dict.fromkeys(_INVISIBLE, None),
        "μ": "µ",
        "∕": "/",
        "⁄": "/",
        "✕": "×",
        "∗": "*",
        "∶": ":",
    }
)


def tidied(text: str) -> str:
    """Return the text with look-alike signs made one, full-width ones narrow and spaces single.

    Raised figures become ``^`` and plain ones: ``10⁻³`` is ``10^-3``. The cost grows with the length, so a
    caller that takes text from outside bounds it first.
    """
    if not text.isascii():
        text = _SUPERSCRIPT_RUN.sub(lambda run: "^" + run[0].translate(_FROM_SUPERSCRIPT), text)
        # Twice: NFKC would turn º into the letter o, and itself turns the micro sign into the Greek mu.
        text = unicodedata.normalize("NFKC", text.translate(_ALIKE)).translate(_ALIKE)
    return " ".join(text.split())
