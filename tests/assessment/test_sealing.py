"""The sealed key: what opens it, and what is said of each way in which it does not open."""

from __future__ import annotations

import json
import unicodedata

import pytest
from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305

from probebook.assessment.setting.sealing import Header, read_header, seal, unseal
from probebook.errors import UsageError

DATA = b"the key of every question" * 20
HEADER = Header("0123456789abcdef", "element-testing", "fingerprint")
WORDS = "naïve passphrase"
#: Cheap for tests: the cost is a number in the header.
CHEAP = 2**14


@pytest.fixture(scope="module")
def sealed() -> bytes:
    """A sealed file."""
    return seal(DATA, WORDS, HEADER, n=CHEAP)


def test_what_was_sealed_comes_back(sealed: bytes) -> None:
    """The passphrase gives the same bytes back, and the header can be read without it."""
    assert unseal(sealed, WORDS, "x.key") == DATA
    assert read_header(sealed, "x.key") == HEADER
    assert DATA[:20] not in sealed


def test_two_spellings_of_one_passphrase_are_one(sealed: bytes) -> None:
    """A letter with its accent apart (NFD) opens what was sealed with the letter in one piece (NFC)."""
    apart = unicodedata.normalize("NFD", WORDS)
    assert apart != WORDS
    assert unseal(sealed, apart, "x.key") == DATA


@pytest.mark.parametrize(
    "wrong", ["", "Naïve passphrase", "naïve passphrase ", "naive passphrase", "x" * 1000, "\ud800"]
)
def test_a_wrong_passphrase_is_told_as_one(sealed: bytes, wrong: str) -> None:
    """An undamaged file with another passphrase says that the passphrase is another, and nothing of damage."""
    with pytest.raises(UsageError, match="passphrase is not the one"):
        unseal(sealed, wrong, "x.key")


def regions(sealed: bytes) -> dict[str, tuple[int, int]]:
    """Where the parts of a sealed file begin and end."""
    head = sealed.index(b"\n")
    return {"header": (0, head), "sum": (head, head + 66), "cipher text": (head + 66, len(sealed) - 16),
            "tag": (len(sealed) - 16, len(sealed))}  # fmt: skip


@pytest.mark.parametrize("part", ["header", "sum", "cipher text", "tag"])
def test_a_flipped_bit_is_told_as_damage(sealed: bytes, part: str) -> None:
    """A bit flipped anywhere is told as damage or as no key of ours, never as a wrong passphrase, and never opens."""
    start, end = regions(sealed)[part]
    for place in range(start, end, max(1, (end - start) // 60)):
        for bit in (0, 7):
            broken = bytearray(sealed)
            broken[place] ^= 1 << bit
            with pytest.raises(UsageError, match=r"damaged|no sealed key"):
                unseal(bytes(broken), WORDS, "x.key")


def test_a_file_cut_off_is_told_as_damage(sealed: bytes) -> None:
    """Every length short of the whole is refused as damaged or as no key."""
    for length in [*range(0, len(sealed), 37), len(sealed) - 1]:
        with pytest.raises(UsageError, match=r"damaged|no sealed key"):
            unseal(sealed[:length], WORDS, "x.key")


def test_the_key_of_another_set_is_told_as_one(sealed: bytes) -> None:
    """Where a set is expected, the key of another is named as that."""
    with pytest.raises(UsageError, match="another set"):
        unseal(sealed, WORDS, "x.key", expected_set="fedcba9876543210")


def rewritten(sealed: bytes, **changes: object) -> bytes:
    """The file with another header and a sum that fits: what a forger without the passphrase can do."""
    import hashlib

    head, _, rest = sealed.partition(b"\n")
    body = rest[65:]
    told = {**json.loads(head), **changes}
    new = json.dumps(told, sort_keys=True, separators=(",", ":")).encode()
    return b"\n".join([new, hashlib.sha256(new + b"\n" + body).hexdigest().encode(), body])


def test_a_forged_header_does_not_open(sealed: bytes) -> None:
    """The header is bound to the cipher text: with another set written in and a fitting sum, nothing opens."""
    assert unseal(rewritten(sealed), WORDS, "x.key") == DATA
    with pytest.raises(UsageError, match="passphrase is not the one"):
        unseal(rewritten(sealed, set="fedcba9876543210"), WORDS, "x.key")


@pytest.mark.parametrize(
    "kdf",
    [
        {"name": "scrypt", "n": 2**30, "r": 8, "p": 1},
        {"name": "scrypt", "n": 2, "r": 8, "p": 1},
        {"name": "scrypt", "n": 20_000, "r": 8, "p": 1},
        {"name": "scrypt", "n": 2**14, "r": 1024, "p": 1},
        {"name": "scrypt", "n": 2**14, "r": 8, "p": 10**9},
        {"name": "scrypt", "n": 16384.0, "r": 8, "p": 1},
        {"name": "none", "n": 2**14, "r": 8, "p": 1},
        {"n": 2**14},
        "scrypt",
    ],
)
def test_a_header_may_not_ask_for_a_costly_or_a_cheap_key(sealed: bytes, kdf: object) -> None:
    """Figures of the key derivation outside their bounds are refused before anything is computed."""
    with pytest.raises(UsageError, match="format not known"):
        unseal(rewritten(sealed, kdf=kdf), WORDS, "x.key")


def test_the_cipher_is_the_published_one(sealed: bytes) -> None:
    """An independent opening with ``hashlib.scrypt`` (RFC 7914) and ChaCha20-Poly1305 gives the same bytes."""
    import base64
    import hashlib

    head, _, rest = sealed.partition(b"\n")
    told = json.loads(head)
    kdf = told["kdf"]
    password = unicodedata.normalize("NFC", WORDS).encode()
    key = hashlib.scrypt(
        password, salt=base64.b64decode(told["salt"]), n=kdf["n"], r=kdf["r"], p=kdf["p"], dklen=32, maxmem=2**28
    )
    assert ChaCha20Poly1305(key).decrypt(base64.b64decode(told["nonce"]), rest[65:], head) == DATA


def test_a_short_passphrase_is_refused() -> None:
    """Seven characters are too few to seal with."""
    with pytest.raises(UsageError, match="fewer than 8"):
        seal(DATA, "seven77", HEADER, n=CHEAP)


def test_two_seals_of_the_same_differ() -> None:
    """Salt and nonce are fresh each time: the same data and passphrase give other bytes."""
    assert seal(DATA, WORDS, HEADER, n=CHEAP) != seal(DATA, WORDS, HEADER, n=CHEAP)
