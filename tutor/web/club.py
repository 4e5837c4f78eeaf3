"""What the pages need of a club: the use cases, as one Protocol. `bootstrap` hands over something that has them."""

from __future__ import annotations

from datetime import tzinfo
from typing import Protocol, cast

from flask import current_app

from tutor.learning.bank_review import BankReview
from tutor.learning.class_room import ClassRoom
from tutor.learning.course_work import CourseWork
from tutor.learning.courses import Shelf
from tutor.learning.membership import Membership, Office, OwnAccount, SignIns
from tutor.learning.papers import Tests
from tutor.learning.practice import Practice
from tutor.learning.progress import Progress
from tutor.learning.rounds.rounds import Rounds
from tutor.learning.workshop.whole import Workbench
from tutor.web.views import QuestionViews


class ClubUseCases(Protocol):
    """The use cases of one club."""

    @property
    def membership(self) -> Membership:
        """Accounts."""
        ...

    @property
    def sign_ins(self) -> SignIns:
        """Signing in and out."""
        ...

    @property
    def own_account(self) -> OwnAccount:
        """One's own password and second factor."""
        ...

    @property
    def office(self) -> Office:
        """The accounts of others."""
        ...

    @property
    def practice(self) -> Practice:
        """Practising."""
        ...

    @property
    def tests(self) -> Tests:
        """Tests."""
        ...

    @property
    def progress(self) -> Progress:
        """Looking back."""
        ...

    @property
    def workshop(self) -> Workbench:
        """The trainers' workshop."""
        ...

    @property
    def course_work(self) -> CourseWork:
        """Plans, notes, certificates, calendar."""
        ...

    @property
    def class_room(self) -> ClassRoom:
        """How the members stand."""
        ...

    @property
    def bank_review(self) -> BankReview:
        """What answers say about templates."""
        ...

    @property
    def rounds(self) -> Rounds:
        """Rounds by mail and paper."""
        ...

    @property
    def shelf(self) -> Shelf:
        """Courses and templates."""
        ...


def the_club() -> ClubUseCases:
    """Return the club whose site this is."""
    return cast(ClubUseCases, current_app.extensions["quiescent"])


def club_zone() -> tzinfo:
    """Return the club's time zone."""
    return cast(tzinfo, current_app.extensions["quiescent-zone"])


def question_views() -> QuestionViews:
    """Return the site's kept renderings."""
    return cast(QuestionViews, current_app.extensions["quiescent-views"])
