"""The cautions, in one place: shown once on every page whose circuit can hurt.

Common practice of the trade; none of it is advice for a particular chassis. All end in the same sentence.
"""

from __future__ import annotations

LAST_WORD = "Follow your local codes, and leave it to a qualified person when unsure."

CAUTIONS: dict[str, str] = {
    "high-voltage": (
        "This circuit holds voltages that kill, also minutes after switching off. Work with the supply off and "
        "the plug out; discharge each reservoir through a resistor and prove it with a meter; keep one hand away "
        "from the chassis. "
    ),
    "reservoir": (
        "A charged reservoir kills as surely as the mains, and may recover some of its charge after it was "
        "emptied. Discharge it through a resistor, never with a screwdriver; measure across its terminals until "
        "the meter reads next to nothing, and measure again before you touch. "
    ),
    "mains": (
        "Mains and everything joined to it can kill. Pull the plug before opening the case; at the bench use an "
        "isolating transformer and a residual-current device, and know what neither of them protects from. Sets "
        "with series heaters have a live chassis. "
    ),
    "output-stage": (
        "Never run an output stage without its load: the primary can rise to thousands of volts and strike. "
        "Output valves are hot enough to burn, and their supply kills, also minutes after switching off; "
        "discharge the reservoir through a resistor and prove it with a meter. "
    ),
    "electrostatic": (
        "An electrostatic loudspeaker carries the full HT on its plates, and its capacitors keep it after "
        "switching off. Switch off, pull the plug, discharge through a resistor and prove it with a meter. "
    ),
}


def caution_text(key: str) -> str:
    """Return the words of a caution, with the sentence that ends them all.

    Raises:
        KeyError: If there is no such caution.
    """
    return CAUTIONS[key] + LAST_WORD
