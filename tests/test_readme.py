"""The README shows what the commands really print, and its two commands are where the gate looks for them."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from probebook.cli import COMMANDS

README = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")


def _sessions() -> list[tuple[str, str]]:
    """Commands and what the README says they print."""
    found = []
    for block in re.findall(r"```console\n(.*?)```", README, re.DOTALL):
        for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            command, _, output = part.partition("\n")
            found.append((command, output.strip()))
    return found


@pytest.mark.parametrize(("command", "output"), _sessions())
def test_console_examples_print_what_they_say(command: str, output: str) -> None:
    """Each command of a console example prints exactly what stands below it."""
    program, *arguments = shlex.split(command)
    assert program == "probebook"
    line = [sys.executable, "-m", "probebook", *arguments]
    done = subprocess.run(
        line, capture_output=True, text=True, encoding="utf-8", check=True, cwd=Path(__file__).parents[1], timeout=60
    )
    assert done.stdout.strip() == output


def test_every_command_is_described() -> None:
    """The table of commands names every command there is."""
    named = set(re.findall(r"^\| `probebook (\w+)", README, re.MULTILINE))
    assert named == set(COMMANDS)


def test_the_two_commands_are_one_line_each() -> None:
    """The first two sh blocks hold one command line each: the main job, then the tests."""
    blocks = re.findall(r"```sh\n(.*?)```", README, re.DOTALL)
    assert len(blocks) >= 2
    assert all(block.strip().count("\n") == 0 for block in blocks[:2])
    assert "probebook build" in blocks[0]
    assert "probebook verify" in blocks[0]
    assert "pytest" in blocks[1]
