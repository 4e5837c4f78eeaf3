"""Use cases of the club: members, lessons, practice, papers, standing; ports for storage, clock and passwords.

Knows questions and how they are marked; knows no database, no Flask, no clock of its own and no global random state.
"""
