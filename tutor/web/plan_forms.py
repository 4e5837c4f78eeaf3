"""Forms of planning: a lesson's date, place and recording, the rules of its test, a course's last day."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime, tzinfo
from typing import Any

from flask_wtf import FlaskForm
from wtforms import (
    DateField,
    DateTimeLocalField,
    IntegerField,
    SelectField,
    SelectMultipleField,
    StringField,
    TextAreaField,
)
from wtforms.validators import InputRequired, Length, NumberRange, Optional
from wtforms.widgets import CheckboxInput, ListWidget

from tutor.learning.course_work import LONGEST_LESSON, LONGEST_NOTE
from tutor.learning.errors import PlanError
from tutor.learning.plans import LEVELS, MOST_QUESTIONS, LessonPlan, PaperRules, SolutionsOpen, read_rules

# Plain names, which the stubs of WTForms do not know as choices.
_LEVELS: Any = [str(level) for level in LEVELS]
_OPENINGS: Any = [each.value for each in SolutionsOpen]
_TIMES = ["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S"]


def _time_field(label: str) -> DateTimeLocalField:
    return DateTimeLocalField(label, [Optional()], format=_TIMES)


class LessonPlanForm(FlaskForm):
    """When and where a lesson is held, and what its test asks."""

    starts = _time_field("Held on")
    minutes = IntegerField("Minutes", [InputRequired("Give its length."), NumberRange(1, LONGEST_LESSON)], default=90)
    place = StringField("Place", [Length(max=200)])
    recording = StringField("Recording", [Length(max=500)], description="Its web address, wherever the club keeps it")
    questions = IntegerField("Questions", [InputRequired("Give a number."), NumberRange(1, MOST_QUESTIONS)])
    sittings = IntegerField("Sittings", [NumberRange(0, 99)], description="0 for as often as one likes", default=0)
    levels = SelectMultipleField(
        "Levels",
        choices=_LEVELS,
        widget=ListWidget(prefix_label=False),
        option_widget=CheckboxInput(),
    )
    opens = _time_field("Opens")
    closes = _time_field("Closes")
    solutions = SelectField("Solutions open when it is", choices=_OPENINGS)

    def fill(self, plan: LessonPlan, rules: PaperRules, zone: tzinfo) -> None:
        """Show a plan."""
        self.starts.data, self.minutes.data = _there(plan.starts, zone), plan.minutes
        self.place.data, self.recording.data = plan.place, plan.recording
        self.questions.data, self.sittings.data = rules.questions, rules.sittings
        self.levels.data = [str(level) for level in rules.levels]
        self.opens.data, self.closes.data = _there(rules.opens, zone), _there(rules.closes, zone)
        self.solutions.data = rules.solutions.value

    def plan(self, lesson: str, counts: Mapping[str, str], zone: tzinfo) -> LessonPlan:
        """Return the plan that was typed.

        Args:
            lesson: The lesson.
            counts: Topic → how many questions, as typed.
            zone: The club's time zone.
        Raises:
            PlanError: If the rules of the test cannot be.
        """
        rules = read_rules(
            {
                "questions": self.questions.data,
                "sittings": self.sittings.data or 0,
                "levels": list(self.levels.data or []),
                "topics": {topic: count.strip() for topic, count in counts.items() if count.strip() not in ("", "0")},
                "opens": aware(self.opens.data, zone),
                "closes": aware(self.closes.data, zone),
                "solutions": self.solutions.data,
            }
        )
        return LessonPlan(
            lesson=lesson,
            starts=aware(self.starts.data, zone),
            minutes=self.minutes.data or 90,
            place=(self.place.data or "").strip(),
            recording=(self.recording.data or "").strip(),
            test=rules,
        )


class CoursePlanForm(FlaskForm):
    """The last day of a course."""

    ends = DateField("Last day", [Optional()])

    def day(self) -> date | None:
        """Return the day that was typed."""
        found = self.ends.data
        return found if isinstance(found, date) else None


class NoteForm(FlaskForm):
    """A member's own note on a lesson."""

    text = TextAreaField("Your own notes", [Length(max=LONGEST_NOTE, message="That is too long to be kept whole.")])


class GroupForm(FlaskForm):
    """A new group."""

    name = StringField("New group", [InputRequired("Give the group a name."), Length(max=100)])


def _there(time: datetime | None, zone: tzinfo) -> datetime | None:
    return None if time is None else time.astimezone(zone).replace(tzinfo=None)


def aware(time: datetime | None, zone: tzinfo) -> datetime | None:
    """Return a time typed by a clock on the wall, with its zone.

    Raises:
        PlanError: If the clocks skipped it, when summer time began.
    """
    if time is None:
        return None
    found = time.replace(tzinfo=zone)
    if found.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != time:
        raise PlanError(
            f"There is no {time:%H:%M} on {time.day} {time:%B %Y}: the clocks go forward. Give another time."
        )
    return found
