"""Circuits: parts, network, equations, and their linear solution, symbolic and in numbers.

Knows quantities and algebra; knows no template, no member, no database, no clock. Nothing here imports sympy or NumPy
when it is itself imported: both are loaded by the functions that need them, so that serving a question stays quick.
"""
