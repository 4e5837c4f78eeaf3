"""Schematics: from a netlist to one SVG element as clear as a service sheet, and the circuit in words.

`sheet` is the way in. The path of a drawing: `parts` and `netlist` (what is joined); `placement` with `desk`,
`hanging`, `stages`, `fittings` and `patterns` (where parts go, on a `board`); `wiring` with `canvas`, `routing`,
`insertion`, `marks` and `tidying` (what joins them); `plan` (the result, which can be kept); `nets` and `bodies`
(read back and compared); `svg` with `symbols`, `captions` and `labels` (the picture); `words`. It needs the standard
library only and knows no circuit: whoever has one hands it over as drawn parts.
"""

from tutor.drawing.schematic.parts import DrawnPart
from tutor.drawing.schematic.sheet import Drawing, Layout, draw_schematic, lay_out

__all__ = ["Drawing", "DrawnPart", "Layout", "draw_schematic", "lay_out"]
