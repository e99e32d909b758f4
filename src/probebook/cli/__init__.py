"""The command line: one module a command, loaded when the command is called.

Exit codes: 0 all well; 1 something was found to be wrong (stale workbooks, a key that does not hold, a bad scenario
file); 2 the command could not be carried out as given.
"""

from __future__ import annotations

import sys
from importlib import import_module

import click

from probebook import stopping
from probebook.errors import ProbebookError, StaleError, VerificationError, near_name

__all__ = ["cli", "main"]

#: Command → one line of help, in the order a newcomer meets them.
COMMANDS = {
    "build": "Turn scenarios into workbooks and answer keys.",
    "verify": "Run every workbook, answer every question, confirm the keys.",
    "open": "Open the workbooks in the browser.",
    "set": "Set a class: one paper a learner, and a sealed key.",
    "moderate": "Lay every item of a set before a second tutor, and keep what is said of it.",
    "hub": "Let a class sit its papers on this machine, each learner as a user of it.",
    "mark": "Mark what a class handed in.",
    "new": "Start your own folder, appliance, fault, slip or workbook.",
    "check": "Check scenario files and say in one sentence what is wrong.",
    "preview": "Write one page that shows an appliance: diagrams, plate, faults, healthy readings.",
    "reading": "Say what a meter would show between two terminals.",
    "explain": "Say which faults the readings leave, and what to test next.",
    "site": "Write owner workbooks and benches as pages that work offline.",
    "print": "Print a workbook's questions on paper, with answer sheet and mark scheme.",
    "export": "Write questions as a package of items that other platforms ask and score (1EdTech QTI).",
    "report": "Say what the marks of a class show: safety, items, difficulty, who needs help.",
    "coverage": "Print the competences against the question bank.",
}


class _Commands(click.Group):
    """Loads a command's module when it is called, so that help and errors are quick."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        del ctx
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            near = near_name(cmd_name, COMMANDS)
            hint = f"Did you mean '{near}'?" if near else f"Commands: {', '.join(COMMANDS)}."
            raise click.UsageError(f"There is no command '{cmd_name}'. {hint}", ctx)
        command: click.Command = import_module(f"probebook.cli.{cmd_name}").command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        del ctx
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(package_name="probebook", message="%(version)s")
def cli() -> None:
    """Workbooks and assessments for people who learn to diagnose heating appliances with a meter."""


def main(arguments: list[str] | None = None) -> None:
    """Run the command line and exit with its code."""
    stopping.listen()
    try:
        code = cli.main(args=arguments, prog_name="probebook", standalone_mode=False)
        stopping.done()
    except BaseException as error:
        if stopping.was_asked() or isinstance(error, (click.Abort, KeyboardInterrupt)):
            stopping.end()
        stopping.done()
        code = _told(error)
    if stopping.was_asked():
        stopping.end()
    sys.exit(code if isinstance(code, int) else 0)


def _told(error: BaseException) -> int:
    """Say what went wrong in one sentence; the exit code. What is no trouble of a command is raised again."""
    if isinstance(error, click.ClickException):
        error.show()
        return 2
    if isinstance(error, ProbebookError):
        click.echo(f"probebook: {error}", err=True)
        return 1 if isinstance(error, (StaleError, VerificationError)) else 2
    if isinstance(error, BrokenPipeError):
        sys.stderr.close()
        return 0
    if isinstance(error, OSError):
        where = f"{error.filename}: " if error.filename else ""
        reason = (error.strerror or type(error).__name__).lower()
        click.echo(f"probebook: {where}{reason}; check the name, its permissions and the room on the disk.", err=True)
        return 2
    raise error
