"""Print the oldest version of each library that pyproject.toml allows, as lines that pip takes.

    python tools/oldest.py > oldest.txt && pip install -r oldest.txt .

The gate builds with them: what the file promises must hold at its lower end too.
"""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

FILE = Path(__file__).resolve().parents[1] / "pyproject.toml"


def oldest(dependencies: list[str]) -> list[str]:
    """Return ``name==version`` for each dependency; ValueError for one without a lower bound."""
    found: list[str] = []
    for dependency in dependencies:
        match = re.fullmatch(r"([A-Za-z0-9_.-]+)>=([0-9.]+)(,.*)?", dependency)
        if not match:
            raise ValueError(f"pyproject.toml: '{dependency}' names no oldest version; write name>=version")
        found.append(f"{match[1]}=={match[2]}")
    return found


def main() -> None:
    """Print them, a line each."""
    print(*oldest(tomllib.loads(FILE.read_text("utf-8"))["project"]["dependencies"]), sep="\n")


if __name__ == "__main__":
    main()
