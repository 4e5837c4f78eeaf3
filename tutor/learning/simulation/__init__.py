"""The simulation that proves the learner model: made-up members, whose truth is known, practise under it.

    worlds.py        what is true: how people learn, forget, guess, use hints; how well a trainer labels
    members.py       the true abilities of a club's members, and how they answer
    needles.py       the model of `needle.py`, `difficulty.py` and `standing.py` over all members at once
    schedules.py     `what_next.choose` over all members at once, and the orders it is compared with
    baselines.py     simple predictions that the model must beat
    measures.py      areas, calibration, medians
    prediction.py    one run: how well are answers foretold
    practice.py      one run: how many answers until topics are held
    targets.py       what is asked of the figures

The truth and the model are separate: nothing in `needles.py` or `schedules.py` reads `members.py`. Tests hold the
arrays equal to the pure functions on random histories, so that what is proved here is what members get. NumPy is used
nowhere else in this layer, and nothing that serves a page imports this package.
"""
