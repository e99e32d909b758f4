"""A file that only its passphrase opens, and that says for what it is why it does not open.

Three parts: a header line (JSON: what it is, how the key is made, of which set), a line with the SHA-256 of header and
cipher text, the cipher text. The key is made by scrypt (RFC 7914) from the passphrase in Unicode form NFC; the cipher
is ChaCha20-Poly1305 (RFC 8439), with the exact bytes of the header as associated data. The plain SHA-256 tells a
damaged file from a wrong passphrase; it proves nothing to somebody who forges, the cipher does.
"""

from __future__ import annotations

import base64
import hashlib
import json
import os
import unicodedata
from dataclasses import dataclass
from typing import Any

from probebook.errors import UsageError

__all__ = ["Header", "read_header", "seal", "unseal"]

MAGIC = "probebook sealed key"
FORMAT = 1
#: scrypt: 128 MiB, about half a second.
N, R, P = 2**17, 8, 1
#: What a header may ask for: neither a key made in no time nor one that fills the machine.
BOUNDS = {"n": (2**14, 2**20), "r": (8, 16), "p": (1, 4)}
SALT, NONCE = 16, 12
#: A longer header (bytes) is none of ours.
LONGEST_HEADER = 2_000
#: A longer file (bytes) is refused unread.
LONGEST = 400_000_000
SHORTEST_PASSPHRASE = 8


@dataclass(frozen=True, slots=True)
class Header:
    """What anybody may read of a sealed file: the set it belongs to, its blueprint, the scenarios it was made from."""

    set_id: str
    blueprint: str
    scenarios: str


def seal(data: bytes, passphrase: str, header: Header, *, n: int = N) -> bytes:
    """The sealed file.

    Parameters
    ----------
    data, passphrase, header
        What is kept, what opens it, what anybody may read.
    n
        Cost of scrypt, a power of two.

    Raises
    ------
    UsageError
        The passphrase is too short.
    """
    from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305

    if len(passphrase) < SHORTEST_PASSPHRASE:
        raise UsageError(
            f"the passphrase has fewer than {SHORTEST_PASSPHRASE} characters", remedy="choose a longer one"
        )
    salt, nonce = os.urandom(SALT), os.urandom(NONCE)
    told = {
        "file": MAGIC,
        "format": FORMAT,
        "set": header.set_id,
        "blueprint": header.blueprint,
        "scenarios": header.scenarios,
        "cipher": "chacha20-poly1305",
        "kdf": {"name": "scrypt", "n": n, "r": R, "p": P},
        "salt": base64.b64encode(salt).decode(),
        "nonce": base64.b64encode(nonce).decode(),
    }
    head = json.dumps(told, sort_keys=True, separators=(",", ":")).encode()
    sealed = ChaCha20Poly1305(_key(passphrase, salt, n, R, P)).encrypt(nonce, data, head)
    return b"\n".join([head, _sum(head, sealed), sealed])


def unseal(content: bytes, passphrase: str, where: str, *, expected_set: str = "") -> bytes:
    """What was sealed.

    Parameters
    ----------
    content, passphrase
        The file, and what opens it.
    where
        Its name, for errors.
    expected_set
        Id of the set it has to be of; any where empty.

    Raises
    ------
    UsageError
        It is no sealed key, damaged, of another set, or the passphrase is another.
    """
    from cryptography.exceptions import InvalidTag
    from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305

    head, told, sealed = _parts(content, where)
    if expected_set and told["set"] != expected_set:
        raise UsageError(
            f"this key is of another set ({told['set']}, not {expected_set})",
            where=where,
            remedy="name the key that was made with these papers",
        )
    kdf = told["kdf"]
    key = _key(passphrase, _bytes(told["salt"]), kdf["n"], kdf["r"], kdf["p"])
    try:
        return ChaCha20Poly1305(key).decrypt(_bytes(told["nonce"]), sealed, head)
    except InvalidTag:
        raise UsageError(
            "the passphrase is not the one that this key was sealed with", where=where, remedy="type it again"
        ) from None


def read_header(content: bytes, where: str) -> Header:
    """What anybody may read of a sealed file; UsageError where it is damaged or none."""
    _, told, _ = _parts(content, where)
    return Header(told["set"], told["blueprint"], told["scenarios"])


def _parts(content: bytes, where: str) -> tuple[bytes, dict[str, Any], bytes]:
    if len(content) > LONGEST:
        raise UsageError("the file is too large for a sealed key", where=where, remedy="check the path")
    head, _, rest = content[:LONGEST_HEADER].partition(b"\n")
    told = _told(head)
    if told is None or not rest:
        if MAGIC.encode() in content[:LONGEST_HEADER]:
            raise _damaged(where)
        raise UsageError("this is no sealed key", where=where, remedy="name the file that 'probebook set' made")
    start = len(head) + 1
    digest, sealed = content[start : start + 64], content[start + 65 :]
    if digest != _sum(head, sealed) or content[start + 64 : start + 65] != b"\n":
        raise _damaged(where)
    if told["format"] != FORMAT or not _is_sound(told):
        raise UsageError("this sealed key is of a format not known here", where=where, remedy="use a newer Probebook")
    return head, told, sealed


def _told(head: bytes) -> dict[str, Any] | None:
    try:
        told = json.loads(head)
    except (ValueError, RecursionError):
        return None
    wanted = {"file", "format", "set", "blueprint", "scenarios", "cipher", "kdf", "salt", "nonce"}
    return told if isinstance(told, dict) and set(told) == wanted and told["file"] == MAGIC else None


def _is_sound(told: dict[str, Any]) -> bool:
    """Whether every figure of a header is one that may be acted on."""
    kdf = told["kdf"]
    names = all(isinstance(told[key], str) for key in ("set", "blueprint", "scenarios", "salt", "nonce"))
    if not names or not isinstance(kdf, dict) or set(kdf) != {"name", "n", "r", "p"} or kdf["name"] != "scrypt":
        return False
    if not all(type(kdf[key]) is int and low <= kdf[key] <= high for key, (low, high) in BOUNDS.items()):
        return False
    if kdf["n"] & (kdf["n"] - 1) or told["cipher"] != "chacha20-poly1305":
        return False
    try:
        return len(_bytes(told["salt"])) == SALT and len(_bytes(told["nonce"])) == NONCE
    except ValueError:
        return False


def _damaged(where: str) -> UsageError:
    return UsageError(
        "the sealed key is damaged: it is not as it was written", where=where, remedy="take another copy of it"
    )


def _sum(head: bytes, sealed: bytes) -> bytes:
    return hashlib.sha256(head + b"\n" + sealed).hexdigest().encode()


def _bytes(text: str) -> bytes:
    return base64.b64decode(text, validate=True)


def _key(passphrase: str, salt: bytes, n: int, r: int, p: int) -> bytes:
    from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

    told = unicodedata.normalize("NFC", passphrase).encode("utf-8", "surrogatepass")
    return Scrypt(salt=salt, length=32, n=n, r=r, p=p).derive(told)
