"""The browser that these tests drive, and how it is started: it asks nothing of anybody off the machine."""

from __future__ import annotations

from pathlib import Path

CHROMIUM = Path("/usr/bin/chromium")
FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip
