"""Supplies: winding, rectifier, reservoir and smoothing in their periodic steady state, and what happens after.

`description` says what a supply is made of, `steady_state` solves it for many draws at once, `discharge` follows it
after switch-off, `rules` holds the formulas that the trade teaches, each with its range. Knows no symbol and no
template. Only `description` may be imported without loading NumPy; the others are arrays through and through.
"""
