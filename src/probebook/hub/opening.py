"""A hub opened for a class: checked, papers put into their learners' homes, started."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from probebook.assessment.keys import open_key
from probebook.assessment.model import PaperSet
from probebook.errors import UsageError
from probebook.hub.checking import check_closed, check_machine, check_python, check_sealed, find_proxy
from probebook.hub.learners import check_users
from probebook.hub.making import make_users
from probebook.hub.options import LOOPBACK, HubOptions
from probebook.hub.papers import Sitting, place_papers
from probebook.hub.ports import take_ports
from probebook.hub.settings import HubSettings
from probebook.hub.starting import RunningHub, pages_of

if TYPE_CHECKING:
    from probebook.cases.library import Library

__all__ = ["open_hub"]


def open_hub(
    folder: Path, key: Path, passphrase: str, options: HubOptions, library_of: Callable[[str], Library]
) -> RunningHub:
    """Put the papers of a class into their learners' homes and start the hub.

    Parameters
    ----------
    folder, key, passphrase
        What ``set`` wrote, its sealed key, and what opens that.
    options
        What the tutor said.
    library_of
        The trade of a region.

    Returns
    -------
    RunningHub
        The hub; what the key holds is let go.

    Raises
    ------
    UsageError
        Something is missing; nothing was started.
    """
    check_machine()
    proxy = find_proxy(options.proxy)
    if not (folder / "papers").is_dir():
        raise UsageError("no papers lie in this folder", where=str(folder), remedy="name the folder that 'set' wrote")
    papers = open_key(key, passphrase)
    _check_private(folder, key, options)
    library = library_of(papers.blueprint.region)
    _check_scenarios(library, papers)
    test = _test_password(options.test_password)
    learners = [paper.learner for paper in papers.papers]
    if options.make_users:
        make_users(learners, options.make_users)
    check_users(learners)
    python = str(options.python.absolute()) if options.python else sys.executable
    check_python(python, learners[0])
    state = folder.resolve() / "hub"
    state.mkdir(mode=0o700, exist_ok=True)
    place_papers(papers, folder / "papers")
    sitting = Sitting.of(papers)
    told = HubSettings(
        pages=pages_of(sitting),
        folder=sitting.folder,
        state=str(state),
        ip=options.ip,
        port=options.port,
        ports=take_ports(state),
        python=python,
        proxy=proxy,
        key=str(key.resolve()),
        passphrase=passphrase,
        scenarios=str(library.folder.resolve()),
        certificate=_path(options.certificate),
        certificate_key=_path(options.certificate_key),
        test_password=test,
    )
    return RunningHub(told, sitting, options.collect or folder / "collected")


def _check_private(folder: Path, key: Path, options: HubOptions) -> None:
    """Learners are users here: what is to be kept from them is closed, and one password for all is for a trial."""
    check_closed(folder)
    if options.collect is not None and options.collect.exists():
        check_closed(options.collect)
    for path in (key, options.certificate_key, options.test_password):
        if path is not None:
            check_sealed(Path(_path(path)))
    if options.test_password is not None and options.ip not in LOOPBACK:
        raise UsageError(
            "one password for everybody is for trials on this machine alone",
            where="--test-password",
            remedy="leave --ip away, or let learners sign in as the machine knows them",
        )


def _check_scenarios(library: Library, papers: PaperSet) -> None:
    """A bench is set up from the scenarios that marking will use, or not at all."""
    if library.fingerprint != papers.fingerprint:
        raise UsageError(
            "these are not the scenarios that the papers were set from",
            where=str(library.folder),
            remedy="name theirs with --scenarios",
        )


def _path(path: Path | None) -> str:
    if path is None:
        return ""
    if not path.is_file():
        raise UsageError("there is no such file", where=str(path), remedy="check the path")
    return str(path.resolve())


def _test_password(path: Path | None) -> str:
    if path is None:
        return ""
    try:
        found = path.read_text("utf-8").strip()
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError("the password of the test cannot be read", where=str(path), remedy="check it") from error
    if not found:
        raise UsageError("the password of the test is empty", where=str(path), remedy="write one into it")
    return found
