"""Faults: what can go wrong with a part, what a meter then reads, and which faults a set of readings leaves.

    kinds        what can go wrong with which part, and the circuit that it makes
    instrument   meters: their loading, their ranges, how far a reading can be trusted
    bench        all suspects of a circuit solved at once, each test point with the meter at it
    diagnosis    which suspects explain a set of readings, and whether only one does

Nothing is imported here: `kinds` and `instrument` need no NumPy.
"""
