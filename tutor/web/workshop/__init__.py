"""The trainers' workshop in the browser: every screen works with its buttons alone; scripts only make it quicker."""

from tutor.web.workshop import circuit, desk, front, history, proof, trying
from tutor.web.workshop.blueprint import pages

__all__ = ["circuit", "desk", "front", "history", "pages", "proof", "trying"]
