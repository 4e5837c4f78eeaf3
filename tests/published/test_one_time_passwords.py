"""One-time passwords against the tables of the standards."""

from __future__ import annotations

import base64
from datetime import UTC, datetime, timedelta

import pytest

from tutor.learning.membership.totp import fitting_step, secret_of, setup_address, step_at, totp

# RFC 6238, appendix B: time, code of eight figures, hash; the keys by RFC 6238, appendix A (errata 2866): the figures
# 1234567890 repeated to the length of the hash.
APPENDIX_B = [
    (59, "94287082", "sha1"), (59, "46119246", "sha256"), (59, "90693936", "sha512"),
    (1111111109, "07081804", "sha1"), (1111111109, "68084774", "sha256"), (1111111109, "25091201", "sha512"),
    (1111111111, "14050471", "sha1"), (1111111111, "67062674", "sha256"), (1111111111, "99943326", "sha512"),
    (1234567890, "89005924", "sha1"), (1234567890, "91819424", "sha256"), (1234567890, "93441116", "sha512"),
    (2000000000, "69279037", "sha1"), (2000000000, "90698825", "sha256"), (2000000000, "38618901", "sha512"),
    (20000000000, "65353130", "sha1"), (20000000000, "77737706", "sha256"), (20000000000, "47863826", "sha512"),
]  # fmt: skip
LENGTHS = {"sha1": 20, "sha256": 32, "sha512": 64}

# RFC 4226, appendix D: codes of six figures of the counts 0 to 9.
APPENDIX_D = ["755224", "287082", "359152", "969429", "338314", "254676", "287922", "162583", "399871", "520489"]


@pytest.mark.parametrize(("seconds", "code", "algorithm"), APPENDIX_B)
def test_the_codes_are_those_of_rfc_6238(seconds: int, code: str, algorithm: str) -> None:
    secret = (b"1234567890" * 7)[: LENGTHS[algorithm]]
    assert totp(secret, step_at(datetime.fromtimestamp(seconds, UTC)), 8, algorithm) == code


@pytest.mark.parametrize(("count", "code"), list(enumerate(APPENDIX_D)))
def test_the_codes_are_those_of_rfc_4226(count: int, code: str) -> None:
    assert totp(b"12345678901234567890", count) == code


def test_a_code_is_taken_one_step_either_way_and_no_further() -> None:
    secret = base64.b32encode(b"12345678901234567890").decode()
    now = datetime.fromtimestamp(1111111111, UTC)
    code = "050471"  # RFC 6238, appendix B, the last six figures
    step = step_at(now)
    seen = [fitting_step(secret, code, now + timedelta(seconds=30 * off)) for off in (-2, -1, 0, 1, 2)]
    assert seen == [None, step, step, step, None]
    assert fitting_step(secret, " 050 471 ", now) == step
    assert fitting_step(secret, "٠٥٠٤٧١", now) is None
    assert fitting_step(secret, "", now) is None


def test_secrets_have_160_bits_and_travel_in_an_address() -> None:
    secret = secret_of("a token")  # RFC 4226, 4, R6: 128 bits at least, 160 recommended
    assert len(base64.b32decode(secret)) == 20
    address = setup_address(secret, "ann.baker", "Bench & Club")
    assert address == f"otpauth://totp/Bench%20%26%20Club:ann.baker?secret={secret}&issuer=Bench%20%26%20Club"
