"""The trainers' workshop in the browser: every screen works with its buttons alone; scripts only make it quicker."""

from tutor.web.workshop import circuit, desk, front, history, proof, trying
from tutor.web.workshop.blueprint import keep_up_at_times, pages

__all__ = ["circuit", "desk", "front", "history", "keep_up_at_times", "pages", "proof", "trying"]
