"""The Harbour Lane Valve Society: a fictional club with people, three lessons, and some weeks of history.

Everything in it is invented. The history is made by the same use cases, drawing and marking that serve members; only
the clock and the members' answers are played.
"""

from __future__ import annotations

import random
import secrets
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from tutor.bootstrap.club import Club, put_together
from tutor.bootstrap.demo_round import make_demo_round
from tutor.bootstrap.places import banks_folder, cache_folder
from tutor.bootstrap.site import SETTINGS, data_folder, read_settings
from tutor.bootstrap.world import SystemChance
from tutor.learning.courses import Lesson, Shelf, read_shelf
from tutor.learning.papers import Tests
from tutor.learning.plans import LessonPlan
from tutor.learning.practice import Practice
from tutor.learning.records import Issue, Member, Role
from tutor.post.style import House
from tutor.quantities import show_in
from tutor.questions.question import DrawnAsk

CLUB = "Harbour Lane Valve Society"
PASSWORD = "kettle trombone drizzle"  # noqa: S105 - everybody's, in a club that does not exist
WEEKS = 5
SEED = 1953

PEOPLE: tuple[tuple[str, str, Role, float], ...] = (
    ("ada.quill", "Ada Quill", Role.ORGANISER, 0.0),
    ("tom.larch", "Tom Larch", Role.TRAINER, 0.0),
    ("ines.garrow", "Ines Garrow", Role.TRAINER, 0.0),
    ("bert.amble", "Bert Amble", Role.MEMBER, 1.1),
    ("clara.finch", "Clara Finch", Role.MEMBER, 0.8),
    ("dov.kessel", "Dov Kessel", Role.MEMBER, 0.2),
    ("edna.moss", "Edna Moss", Role.MEMBER, -0.4),
    ("frank.pettle", "Frank Pettle", Role.MEMBER, 0.5),
    ("greta.lund", "Greta Lund", Role.MEMBER, 1.5),
    ("hamid.rao", "Hamid Rao", Role.MEMBER, 0.0),
    ("ivy.stroud", "Ivy Stroud", Role.MEMBER, -0.9),
    ("jack.tarrow", "Jack Tarrow", Role.MEMBER, 0.3),
    ("kit.omber", "Kit Omber", Role.MEMBER, -0.2),
    ("lena.voss", "Lena Voss", Role.MEMBER, 0.9),
    ("miles.hartnoll", "Miles Hartnoll", Role.MEMBER, -1.3),
)
"""Sign-in name, name, role, and how able a member is (in the model's logits)."""

LESSONS = 3


@dataclass(slots=True)
class PlayedClock:
    """A clock that is set."""

    time: datetime

    def now(self) -> datetime:
        """Return the time it is set to."""
        return self.time

    def day(self, at: datetime) -> date:
        """Return the club's day at a time."""
        return at.date()


@dataclass(slots=True)
class PlayedChance(SystemChance):
    """Serials from a seeded row, so that every demo tells the same story; tokens stay as random as ever."""

    dice: random.Random = field(default_factory=lambda: random.Random(SEED))  # noqa: S311 - a story, no secret

    def serial(self) -> int:
        """Return the next serial of the row."""
        return self.dice.getrandbits(40)


def make_demo(folder: Path) -> list[Member]:
    """Make the club in a folder.

    Args:
        folder: Empty or not there yet.
    Returns:
        Everybody who can sign in.
    """
    from tutor.store.engine import open_database
    from tutor.store.passwords import Argon2Passwords
    from tutor.store.records import SqlRecords

    data_folder(folder)
    settings = (folder / SETTINGS).read_text(encoding="utf-8").replace("Your club", CLUB)
    (folder / SETTINGS).write_text(settings, encoding="utf-8")
    shelf = read_shelf([banks_folder()], cache_folder())
    clock = PlayedClock(datetime.now(UTC).replace(hour=18, minute=0, second=0, microsecond=0) - timedelta(weeks=WEEKS))
    chance = PlayedChance()
    records = SqlRecords(open_database(read_settings(folder).database))
    club = put_together(records, shelf, clock, chance, Argon2Passwords(), House(CLUB))
    people = [club.membership.add(sign_in, name, PASSWORD, role) for sign_in, name, role, _ in PEOPLE]
    abilities = {person.id: ability for person, (*_, ability) in zip(people, PEOPLE, strict=True)}
    members = [person for person in people if person.role is Role.MEMBER]
    story = _Story(club.practice, club.tests, shelf, clock, chance.dice, abilities)
    story.tell(members)
    _plan(club, shelf, clock, members)
    make_demo_round(club.rounds, story.lessons()[0], members, clock)
    return people


def _plan(club: Club, shelf: Shelf, clock: PlayedClock, members: list[Member]) -> None:
    """Give the first course its dates, and the class a group."""
    now = clock.time = datetime.now(UTC)
    evening = now.replace(hour=19, minute=30, second=0, microsecond=0)
    course = next((one for one in shelf.courses if len(one.lessons) > LESSONS), None)
    for place, lesson in enumerate(course.lessons if course is not None else ()):
        starts = evening + timedelta(weeks=2 * (place - LESSONS)) + timedelta(days=3)
        club.course_work.plan_lesson(LessonPlan(lesson=lesson.name, starts=starts, place="Sailmakers' Hall, back room"))
    group = club.class_room.make_group("Thursday bench")
    club.class_room.set_group(group.id, [member.id for member in members[::2]])


@dataclass(slots=True)
class _Story:
    """Members practising, week by week."""

    practice: Practice
    tests: Tests
    shelf: Shelf
    clock: PlayedClock
    dice: random.Random
    abilities: dict[int, float]

    def tell(self, members: list[Member]) -> None:
        """Play some weeks: a lesson every other week, practised on one or two evenings each week."""
        start = self.clock.time
        lessons = self.lessons()
        for week in range(WEEKS):
            open_lessons = lessons[: 1 + week // 2]
            for member in members:
                for evening in range(self.dice.choice((0, 1, 1, 2))):
                    day = start + timedelta(weeks=week, days=2 * evening + self.dice.randrange(2))
                    self.clock.time = day + timedelta(minutes=self.dice.randrange(180))
                    self._evening(member, self.dice.choice(open_lessons), 1 + week / 4)
            self.clock.time = start + timedelta(weeks=week, days=6)
            if week % 2:
                for member in members[week:]:
                    self._test(member, open_lessons[-1], 1 + week / 4)

    def lessons(self) -> list[Lesson]:
        """Return three lessons that have questions, one of each course where there are three."""
        filled = [lesson for lesson in self.shelf.lessons if len(self.shelf.templates(lesson)) >= 3]
        first_of: dict[str, Lesson] = {}
        for lesson in filled:
            if lesson.topics != ("parts",):
                first_of.setdefault(lesson.course, lesson)
        chosen = [*first_of.values(), *filled]
        return list(dict.fromkeys(chosen))[:LESSONS]

    def _evening(self, member: Member, lesson: Lesson, progress: float) -> None:
        for _ in range(self.dice.randint(2, 5)):
            issue = self.practice.issue(member, lesson)
            self._answer(member, issue, progress)
            self.clock.time += timedelta(minutes=self.dice.randint(3, 9))

    def _test(self, member: Member, lesson: Lesson, progress: float) -> None:
        sheet = self.tests.begin(member, lesson)
        chances = {issue.id: self._chance(member, issue, progress) for issue in sheet.issues}
        answers = {
            issue.id: {
                ask.name: self._typed(ask, self.dice.random() < chances[issue.id]) for ask in issue.question.asks
            }
            for issue in sheet.issues
        }
        self.clock.time += timedelta(minutes=self.dice.randint(15, 45))
        self.tests.save(member, sheet.paper.id, answers)
        self.tests.hand_in(member, sheet.paper.id)

    def _chance(self, member: Member, issue: Issue, progress: float) -> float:
        chance = 0.5 + 0.17 * (self.abilities[member.id] - 0.5 * (issue.question.level - 2)) + 0.12 * progress
        return min(max(chance, 0.08), 0.97)

    def _answer(self, member: Member, issue: Issue, progress: float) -> None:
        if self.dice.random() < 0.15:
            issue = self.practice.take_hint(member, issue.id)
        for attempt in range(2):
            chance = min(self._chance(member, issue, progress) + 0.2 * attempt, 0.97)
            answers = {ask.name: self._typed(ask, self.dice.random() < chance) for ask in issue.question.asks}
            key = secrets.token_urlsafe(9)
            submission = self.practice.submit(member, issue.id, key, answers)
            if submission.attempt is None or submission.mark.is_full:
                break
            self.clock.time += timedelta(minutes=2)
        if self.dice.random() < 0.6:
            self.practice.open_solution(member, issue.id)

    def _typed(self, ask: DrawnAsk, right: bool) -> str:
        """Return what a member might type: the key, a listed slip, or something else that is wrong."""
        if isinstance(ask.value, str):
            wrong = [name for name in ("rises", "falls", "unchanged") if name != ask.value]
            if ask.options:
                letters = {option.name: "abcdefghij"[i] for i, option in enumerate(ask.options)}
                wrong = [letter for name, letter in letters.items() if name != ask.value]
                return letters[ask.value] if right else self.dice.choice(wrong)
            return ask.value if right else self.dice.choice(wrong)
        if right:
            return self._written(ask, ask.value)
        slips = [slip.value for slip in ask.slips if slip.tells and slip.value]
        if slips and self.dice.random() < 0.7:
            return self._written(ask, self.dice.choice(slips))
        return self._written(ask, ask.value * self.dice.choice((0.001, 0.5, 0.7, 1.3, 2.2, 1000)))

    def _written(self, ask: DrawnAsk, value: float) -> str:
        """Return a value as one of several people would write it."""
        printed = ask.printed_unit
        shown = show_in(value, printed, self.dice.choice((3, 3, 4))).replace("\N{NO-BREAK SPACE}", " ")
        if printed.text and self.dice.random() < 0.5:
            shown = shown.removesuffix(printed.text).strip()  # a bare number beside the printed unit
        if self.dice.random() < 0.2:
            shown = shown.replace(".", ",")
        return shown.replace("\N{MINUS SIGN}", "-")
