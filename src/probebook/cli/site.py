"""``probebook site``: owner workbooks and benches as a folder of pages that works offline."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from probebook.cli.common import library_options, progress

if TYPE_CHECKING:
    from probebook.api import Library


@click.command("site")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), metavar="DIR")
@click.option("--benches", type=click.IntRange(1, 99), default=12, show_default=True, help="How many benches.")
@click.option("--seed", default="site", show_default=True, help="Names the cases of the benches.")
@library_options
def command(folder: Path, benches: int, seed: str, library: Library) -> None:
    """Write the workbooks for owners and benches for apprentices into DIR, as pages that need no server and no network.

    Each page is one file: copy DIR to any web server, or a file of it to a telephone. The same seed gives the same
    bytes. The pages are for practice: answers and keys are in them.
    """
    from probebook.api import load_plans, reports, static_site

    books = sum(plan.reader == "owner" for plan in load_plans(library))
    with progress("writing", benches + books) as step:
        pages = static_site.write_site(folder, library, seed=seed, benches=benches, done=step)
    click.echo(reports.site_line(pages, folder, library.words))
