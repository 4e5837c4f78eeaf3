"""Worked solutions of questions: the automatic steps, hints and way-points made from them.

`automatic` tells the steps of a question's asks in order, by `circuits.explain` where an ask has a circuit and by its
formula (`rules` gives the sentence) where not; `hints` makes hints of steps; `waypoints` keeps what a member may have
stopped at.
"""
