"""Quiescent: a tutor that asks, marks and explains computed circuit problems.

The packages stand in layers; imports run only downward (the order is in DEVELOPERS.md and held by import-linter).
"""

__version__ = "0.1.0"
