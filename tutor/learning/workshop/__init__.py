"""The trainers' workshop: `drafting`, `proving`, `publishing`, and `remarking` after a correction."""
