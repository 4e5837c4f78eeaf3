"""The schema changes themselves."""
