"""One answer in a person's own words: the value in it, if it is certain what is meant.

What is returned is always a text that the marking reads by itself, in the words of whoever wrote it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from tutor.quantities import QuantityFormatError, Reading, read_quantity
from tutor.questions.fragments import text_of
from tutor.questions.marking import letter_of
from tutor.questions.question import DrawnAsk
from tutor.questions.words import direction_in, option_in


@dataclass(frozen=True, slots=True)
class Value:
    """What was made of an answer.

    Attributes:
        text: The answer as the marking reads it; "" when somebody says that they do not know.
        certain: Whether it can mean nothing else.
    """

    text: str
    certain: bool


MOST = 240
"""Characters of an answer that are looked at, reasons included."""
UNKNOWN = re.compile(
    r"(?:(?:sorry|i'?m afraid|afraid|i|i'm|honestly|really|but|still|have|we)[\s,.:-]*)*"
    r"(?:do(?:n'?t| not) know(?: (?:this|that)(?: one)?| it)?|dunno|no idea|not sure|unsure|no answer|not answered|unanswered|"
    r"(?:have|has) ?n[o']t? (?:a )?(?:clue|idea)|haven'?t (?:a clue|got a clue|an idea|the faintest)|no clue|"
    r"pass|skip(?:ped)?(?: (?:this|it))?|(?:left )?blank|left open|open|n/?a|none|nothing|"
    r"could ?n[o']t (?:do|get|work)(?: out)?(?: (?:this|it|that)(?: one| out)?)?|did ?n[o']t (?:do|get)(?: (?:this|it|that)(?: one)?)?|"
    r"wei(?:ß|ss) (?:(?:ich|es|ich es) )?nicht|keine ahnung|je ne sais pas|aucune idée|no (?:lo )?sé|ni idea|non (?:lo )?so|"
    r"weet (?:ik )?niet|geen idee|vet (?:ej|inte|ikke)|ved ikke|ingen (?:aning|idé)|nie wiem|não sei|en tiedä|nevím|"
    r"\?+|[-–—]{2,}|[-–—])"
    r"(?:[\s,]*(?:sorry|i'?m afraid|at all|here|yet|this time|to be honest))*",
    re.IGNORECASE,
)
_LEADS = re.compile(
    r"(?:so|well|hmm+|er|ok(?:ay)?|right|then|that|this|i|we|the|my|an?|it|its|it's|answer|answers|result|value|voltage|"
    r"current|power|resistance|resistor|capacitance|capacitor|frequency|gain|level|ratio|time|tap|output|load|drop|ripple|"
    r"think|thinks?|guess|make|makes?|made|get|gets|got|reckon|believe|say|says|find|found|calculate|calculated|have|had|"
    r"would|should|must|be|is|was|are|comes?|came|works?|out|to|at|as|of|probably|maybe|perhaps|possibly|about|around|"
    r"approx|approximately|roughly|circa|ca|nearly|almost|just|something|like|equals?|gives?|giving|ist|sind|etwa|ungefähr|"
    r"rund|environ|à peu près|unos|cerca de|circa|ongeveer|ungefär|antwort|lösung|réponse|est|es|è|wert|there|on|in|goes|"
    r"will|do|does|final|here|mine|for|this one|that one)\b[\s,.:…]*",
    re.IGNORECASE,
)
_TAILS = re.compile(
    r"[\s,;.(\[–—-]*(?:i think|i believe|i guess|i hope|i reckon|i suppose|roughly|approx\.?|approximately|about|or so|"
    r"or thereabouts|thereabouts|give or take|rounded|if i'?m not mistaken|if i am right|please|thanks?|hopefully|not sure|"
    r"(?:to|at) (?:two|three|four|2|3|4) (?:sig(?:nificant)?\.? ?)?(?:fig(?:ure)?s?|s\.?f\.?|digits?|places?)|"
    r"glaube ich|denke ich|je pense|je crois|creo|credo|denk ik|tror jag|tror jeg|\?+|!+|:-?\)|;-?\))[)\]\s.!]*$",
    re.IGNORECASE,
)
_REASON = re.compile(r"[\s,;.(–—-]+(?:because|since|as the|as it|using|from|via|by|weil|da|denn|parce que|car|porque)\b.*$", re.IGNORECASE | re.DOTALL)  # fmt: skip
_ASIDE = re.compile(r"^(?P<value>[^()]*[^()\s])\s*\((?P<aside>[^()]*)\)\s*$")
_SPLITS = re.compile(
    r"\b(?:or|and|oder|und|ou|et|o|y|e|no|not|nicht|pas|but|instead|rather|actually|sorry)\b|[;]", re.IGNORECASE
)
_CUSHIONS = re.compile(r"\b(?:slightly|a bit|a little|somewhat|a lot|much|clearly|strongly|very|also|too|still|again|there|then|by|of course)\b", re.IGNORECASE)  # fmt: skip
_FOREIGN = {
    "rises": "steigt steigend höher größer nimmt zu monte augmente plus haut sube aumenta más alto aumenta cresce sale stijgt "
             "hoger ökar stiger øker rośnie kasvaa",
    "falls": "fällt sinkt kleiner niedriger nimmt ab baisse diminue descend baja disminuye cae diminuisce cala scende daalt "
             "lager minskar faller synker spada laskee",
    "unchanged": "unverändert bleibt gleich gleich konstant inchangé inchangée constante igual sin cambios invariato uguale "
                 "gelijk onveranderd oförändrad uendret uændret bez zmian ennallaan",
}  # fmt: skip
_PHRASES = {
    "nimmt zu": "rises", "nimmt ab": "falls", "bleibt gleich": "unchanged", "ändert sich nicht": "unchanged",
    "ne change pas": "unchanged", "reste la même": "unchanged", "no cambia": "unchanged", "non cambia": "unchanged",
    "blijft gelijk": "unchanged", "oförändrad": "unchanged",
}  # fmt: skip


def value_of(ask: DrawnAsk, text: str, *, dash: bool = False) -> Value | None:
    """Return what somebody answered.

    Args:
        ask: What was asked.
        text: The words behind its number.
        dash: Whether a dash stood before them, which may be a sign.
    Returns:
        None when there is no answer in it at all.
    """
    tidy = _tidy(text)
    if not tidy:
        return None
    if len(tidy) > MOST:
        return Value(tidy[:MOST], certain=False)
    if UNKNOWN.fullmatch(tidy.rstrip(" .!")) and not (ask.kind == "change" and tidy in "-–—"):
        return Value("", certain=True)
    if ask.kind == "change":
        return _direction(tidy)
    if ask.options:
        return _option(ask, tidy)
    return _number(ask, tidy, dash=dash)


def _tidy(text: str) -> str:
    """Return an answer without the marks of emphasis and quotation around it."""
    tidy = " ".join(text.replace("“", '"').replace("”", '"').split())
    while True:
        before = tidy
        tidy = tidy.strip(" \t\"'`*_…|→").removesuffix(",").removesuffix(";")
        if len(tidy) > 2 and tidy[0] == "(" and tidy[-1] == ")" and "(" not in tidy[1:-1]:
            tidy = tidy[1:-1]
        if tidy == before:
            return tidy


# -- numbers ---------------------------------------------------------------------------------------------------------
def _read(ask: DrawnAsk, text: str) -> Reading | None:
    try:
        return read_quantity(text, ask.printed_unit)
    except QuantityFormatError:
        return None


def _number(ask: DrawnAsk, tidy: str, *, dash: bool) -> Value:
    if dash and tidy[:1] in "-–—−":
        # "1c -3 dB" has a sign; in "1c - 3 dB" and "1 -43.9 V" it may be a sign, or only a dash.
        if _may_be_negative(ask) != bool(re.match(r"[-–—−][\d.]", tidy)):
            return Value(tidy, certain=False)
        tidy = tidy if _may_be_negative(ask) else tidy.lstrip("-–—− ")
    found = _plain_number(ask, tidy)
    if found is None:
        found = _with_reason(ask, tidy) or _chain(ask, tidy)
    if found is None:
        return Value(tidy, certain=False)
    reading = _read(ask, found)
    assert reading is not None
    if dash and reading.quantity.magnitude > 0 and _may_be_negative(ask):
        return Value(found, certain=False)  # "3 - 6 dB": a sign, or only a dash
    return Value(found, certain=True)


def _plain_number(ask: DrawnAsk, tidy: str) -> str | None:
    """Return the value where nothing but words that say nothing stand around it."""
    text = tidy
    for _ in range(12):
        if _read(ask, text) is not None:
            return text
        shorter = _TAILS.sub("", _LEADS.sub("", text, count=1) if _LEADS.match(text) else text).strip(" ,.:=")
        if shorter == text or not shorter:
            break
        text = shorter
    aside = _ASIDE.match(text)
    if aside is None:
        return None
    value, beside = aside["value"].strip(), aside["aside"].strip()
    first, second = _read(ask, value), _read(ask, beside)
    if first is None or (second is not None and not _same(first, second)):
        return None
    return value


def _with_reason(ask: DrawnAsk, tidy: str) -> str | None:
    shorter = _REASON.sub("", tidy)
    return _plain_number(ask, shorter) if shorter != tidy and shorter else None


def _chain(ask: DrawnAsk, tidy: str) -> str | None:
    """Return the last member of workings such as "250 × 10/57 = 43.9 V", if none before it says something else."""
    first, *others = re.split(r"\s*[=≈]+\s*", tidy)
    if not others or _SPLITS.search(tidy) or "," in re.sub(r"\d,\d", "", tidy):
        return None
    last = _plain_number(ask, others[-1])
    if last is None:
        return None
    reading = _read(ask, last)
    assert reading is not None
    before = [_read(ask, member) for member in (first, *others[:-1])]
    return last if all(one is None or _same(one, reading) for one in before) else None


def _same(one: Reading, other: Reading) -> bool:
    if not one.quantity.unit.fits(other.quantity.unit):
        return False
    spread = (one.last_figure + other.last_figure) / 2
    return abs(one.quantity.magnitude - other.quantity.magnitude) <= spread * (1 + 1e-9)


def _may_be_negative(ask: DrawnAsk) -> bool:
    return ask.unit in ("dB", "°") or ask.printed in ("dB", "°") or (isinstance(ask.value, float) and ask.value < 0)


# -- words -----------------------------------------------------------------------------------------------------------
def _direction(tidy: str) -> Value:
    plain = " ".join(_CUSHIONS.sub(" ", _REASON.sub("", tidy)).split()).strip(" .!,")
    for text in (tidy, plain, _TAILS.sub("", plain), _leadless(_TAILS.sub("", plain))):
        found = direction_in(text) if text not in ("", "-", "−", "=", "+", "0") else None
        if found is not None:
            return Value(found, certain=True)
    foreign = _foreign(plain.casefold())
    if foreign is not None:
        return Value(foreign, certain=True)
    return Value(tidy, certain=False)


def _leadless(text: str) -> str:
    for _ in range(12):
        shorter = _LEADS.sub("", text, count=1) if _LEADS.match(text) else text
        if shorter == text or not shorter:
            return text
        text = shorter
    return text


def _foreign(words: str) -> str | None:
    said = {direction for phrase, direction in _PHRASES.items() if phrase in words}
    if not said:
        one = re.sub(
            r"^(?:sie|es|er|die spannung|der strom|elle|il|la tension|le courant|la tensión|la corriente|de spanning)\s+",
            "",
            words,
        )
        said = {direction for direction, known in _FOREIGN.items() if one in known.split()}
    return said.pop() if len(said) == 1 else None


def _option(ask: DrawnAsk, tidy: str) -> Value:
    letters = {letter_of(n).upper(): option for n, option in enumerate(ask.options, start=1)}
    wordings = {letter: _bare(text_of(option.text)) for letter, option in letters.items()}
    plain = _TAILS.sub("", tidy).strip(" .!,:")
    candidates = (
        tidy,
        plain,
        _leadless(plain),
        re.sub(r"^(?:option|choice|letter|antwort|réponse)\s+", "", _leadless(plain), flags=re.IGNORECASE),
    )
    for text in candidates:
        if len(text.strip("().")) == 1 and option_in(text, ask.options) is not None:
            return Value(text.strip("().").upper(), certain=True)
        same = [letter for letter, wording in wordings.items() if wording and wording == _bare(text)]
        if len(same) == 1 and same[0].lower() != _bare(text):
            return Value(same[0], certain=True)
        both = re.match(r"^\(?([A-Za-z])\s*(?:[).:=,–—-]+|\s)\s*(.+)$", text)
        if both and both[1].upper() in letters:
            letter, rest = both[1].upper(), _bare(both[2])
            if rest == wordings[letter] or _REASON.match(" " + both[2]):
                return Value(letter, certain=True)
    return Value(tidy, certain=False)


def _bare(text: str) -> str:
    return re.sub(r"[\s().,;:_*]+", "", text.casefold())
