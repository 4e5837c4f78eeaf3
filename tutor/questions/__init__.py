"""Templates, questions, marking, slips, solutions and `check`.

Knows circuits and how to draw them; knows no member, no database, no page, no clock and no chance: a serial fixes every
drawn value, and marking is a pure function of question and answers.
"""
