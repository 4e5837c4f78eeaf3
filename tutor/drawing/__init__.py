"""Drawings, plots and formulas: SVG and MathML that need no script, and the words that stand for them."""
