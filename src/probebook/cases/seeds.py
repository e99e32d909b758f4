"""Random draws that depend on nothing but names: same seed, same bytes, on any machine and in any locale."""

from __future__ import annotations

import hashlib
import random

import numpy as np

__all__ = ["generator", "stream"]


def _number(parts: tuple[object, ...]) -> int:
    text = "\x1f".join(str(part) for part in parts)
    return int.from_bytes(hashlib.sha256(text.encode()).digest()[:16], "big")


def stream(*parts: object) -> random.Random:
    """A random stream named by ``parts``; the same names give the same draws everywhere."""
    return random.Random(_number(parts))


def generator(*parts: object) -> np.random.Generator:
    """A numpy generator named by ``parts``, for arrays of draws."""
    return np.random.default_rng(_number(parts))
