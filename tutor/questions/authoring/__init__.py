"""Authoring: a template while it is being made, as plain data in the shape of its file.

`rows` and `value_words` turn parts and value rules into what a trainer types and back; `reading_drafts` says what is
wrong where; `asking`, `formulas`, `slips`, `hints` and `wording` are what the engine offers; `proving` runs the checks
of `quiescent check` with progress; `writing` gives the file, byte for byte the same from the same data; `differences`
says in words what changed.
"""
