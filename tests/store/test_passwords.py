"""Password hashes: argon2id with the parameters of the OWASP password storage cheat sheet."""

from __future__ import annotations

from argon2 import extract_parameters
from argon2.low_level import Type

from tutor.store.passwords import Argon2Passwords


def test_hashes_are_argon2id_of_the_stated_strength() -> None:
    # OWASP Password Storage Cheat Sheet: argon2id, m = 19456 (19 MiB), t = 2, p = 1, or stronger.
    parameters = extract_parameters(Argon2Passwords().hashed("copper anode lantern"))
    assert parameters.type is Type.ID
    assert (parameters.memory_cost, parameters.time_cost, parameters.parallelism) == (19456, 2, 1)


def test_the_right_password_fits_and_no_other() -> None:
    passwords = Argon2Passwords()
    stored = passwords.hashed("copper anode lantern")
    assert passwords.fits(stored, "copper anode lantern")
    assert not passwords.fits(stored, "copper anode lantern ")
    assert not passwords.fits("nonsense", "copper anode lantern")


def test_two_hashes_of_one_password_differ() -> None:
    passwords = Argon2Passwords()
    assert passwords.hashed("copper anode lantern") != passwords.hashed("copper anode lantern")


def test_a_weaker_hash_is_found_out() -> None:
    stored = Argon2Passwords(memory=8192, time=1).hashed("copper anode lantern")
    assert Argon2Passwords().is_weak(stored)
    assert not Argon2Passwords().is_weak(Argon2Passwords().hashed("copper anode lantern"))
