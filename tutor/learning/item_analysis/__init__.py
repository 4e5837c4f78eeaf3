"""Item analysis: what the answers of many members say about a template or a whole test.

Pure functions on plain sequences and frozen reports; knows no database, no clock, no pages. Open `analysis` for the two
reports, `flags` for what they say in words, `classical` for facility, discrimination and reliability, `rasch` and
`marginal` for difficulties on the scale of the needle, `models_for_comparison` for simpler models of a learner.

Conventions. A matrix of answers has one row per member and one column per question; an entry is the share of the marks
that the first try earned, 0 to 1, or None where the question was not put to this member or the answer is not counted. A
blank in a paper that was handed in is 0, not None; whoever builds the matrix decides that. A figure that has no meaning
for the answers at hand is None, never 0 and never an exception.
"""
