"""Circuits: parts, network, equations, and their linear solution, symbolic and in numbers.

Knows quantities and algebra; knows no template, no member, no database, no clock. The modules of the linear solution
import neither sympy nor NumPy when they are imported: both are loaded by the functions that need them, so that serving
a question stays quick. The numeric models in `valves` and `supply` are arrays throughout and load NumPy at once.

The way of a circuit: `source` and `circuit_file` read a file, `network` its parts; `problem` turns what is `asked` into
`equations`; these are solved by `formula` in symbols, by `program` (`elimination` on a `tape`) for draws without end,
by `numeric` with pivoting, by `exact` in fractions where rounding leaves a doubt, and by `steps` in time. `linear` is
the one door to all of them for a circuit whose values are numbers.
"""
