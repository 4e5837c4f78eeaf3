"""Accounts and who may open them: joining, signing in, passwords, second factors, and what organisers do."""

from __future__ import annotations

from tutor.learning.membership.accounts import Membership
from tutor.learning.membership.office import Office
from tutor.learning.membership.own_account import OwnAccount
from tutor.learning.membership.passwords import LONGEST_PASSWORD, SHORTEST_PASSWORD, check_password
from tutor.learning.membership.personal import PersonalData
from tutor.learning.membership.sign_ins import SignIns

__all__ = [
    "LONGEST_PASSWORD",
    "SHORTEST_PASSWORD",
    "Membership",
    "Office",
    "OwnAccount",
    "PersonalData",
    "SignIns",
    "check_password",
]
