"""The whole schema: every table of the club's records, for migrations and backups."""

from __future__ import annotations

from tutor.store import course_tables, round_tables, standing_tables, tables, workshop_tables

metadata = tables.Table.metadata
MODULES = (tables, standing_tables, course_tables, round_tables, workshop_tables)
