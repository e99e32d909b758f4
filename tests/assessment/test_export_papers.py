"""The papers of a class as a package: only with the sealed key, never beside the papers, without anybody's name."""

from __future__ import annotations

import random
import sys
import zipfile
from pathlib import Path

import pytest
from classes import LEARNERS, PASSPHRASE, Class
from click.testing import CliRunner

from probebook.api import assessing, exporting
from probebook.cases.library import Library, library
from probebook.cli import cli
from probebook.errors import UsageError
from probebook.publish.package.rules.package import check_package
from probebook.publish.package.standards import STANDARDS
from probebook.questions.marking import mark

TESTS = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(TESTS / "publish"), str(TESTS / "independent")]
from exported import answers, given  # noqa: E402
from item_player import Item, choices_of, plain_name  # noqa: E402


@pytest.fixture(scope="module")
def packed(five: Class, trade: Library, tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """The files of the package of the class."""
    out = tmp_path_factory.mktemp("packed") / "class.zip"
    papers = assessing.open_key(five.key, PASSPHRASE)
    exporting.export(exporting.papers_of(papers), out, STANDARDS["qti-3.0"], trade)
    with zipfile.ZipFile(out) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_every_paper_is_a_test_with_its_time_and_its_questions(five: Class, packed: dict[str, bytes]) -> None:
    """Each learner has a test with all their items in order and their own minutes; all of it keeps the rules."""
    assert check_package(packed, "3.0") == []
    for paper in five.papers.papers:
        root = Item(packed[f"test-{paper.learner.id}.xml"]).root
        items = [each.attrib["identifier"] for each in root.iter() if plain_name(each.tag) == "assessmentitemref"]
        assert items == [f"{paper.learner.id}-{item.id}" for item in paper.items]
        (limits,) = (each for each in root.iter() if plain_name(each.tag) == "timelimits")
        minutes = five.papers.blueprint.minutes * paper.learner.extra_time
        assert float(limits.attrib["max-time"]) == pytest.approx(60 * minutes, abs=0.5)


def test_items_of_papers_score_as_marking_does(five: Class, packed: dict[str, bytes], trade: Library) -> None:
    """Scaled marks, neutral ids and every language of the class: the score is that of marking."""
    for paper in five.papers.papers:
        words = library(trade.folder, "gb", paper.learner.language).words
        for each in paper.items:
            item = Item(packed[f"items/{paper.learner.id}-{each.id}.xml"])
            choices = choices_of(item)
            for response in list(answers(each.question, random.Random(each.id)))[:12]:
                ours = mark(each.question, response, words, final=True)
                theirs = item.score(given(each.question, response, choices))
                assert theirs["SCORE"] == pytest.approx(ours.marks, abs=1e-9), (each.id, response)
                assert theirs["DANGEROUS"] == ours.critical


def test_nobodys_name_is_in_the_package(packed: dict[str, bytes]) -> None:
    """Learners are known by their ids only."""
    for learner in LEARNERS:
        name = learner.name.encode()
        assert not any(name in data for data in packed.values())


def test_papers_need_their_key_and_passphrase(five: Class, trade: Library, tmp_path: Path) -> None:
    """With another passphrase nothing is written and the sentence says so; with the right one the file is."""
    secret, out = tmp_path / "secret.txt", tmp_path / "out" / "class.zip"
    arguments = ["export", "--key", str(five.key), "--out", str(out), "--passphrase-file", str(secret)]
    arguments += ["--scenarios", str(trade.folder)]
    secret.write_text("another passphrase")
    done = CliRunner().invoke(cli, arguments, standalone_mode=False)
    assert isinstance(done.exception, UsageError)
    assert "passphrase" in str(done.exception)
    assert not out.exists()
    secret.write_text(PASSPHRASE)
    done = CliRunner().invoke(cli, arguments, standalone_mode=False)
    assert done.exception is None
    assert "the file holds the answers: give it to whoever runs the platform, never to learners" in done.output
    assert out.is_file()


def test_a_package_is_never_put_beside_the_papers(five: Class, tmp_path: Path) -> None:
    """The package holds the answers, so the folder of learners' papers is refused; another one is not."""
    with pytest.raises(UsageError) as found:
        exporting.keep_from_learners(five.folder / "papers" / "class.zip", five.papers)
    assert "the papers of learners lie in this folder, and what is written holds the answers" in str(found.value)
    exporting.keep_from_learners(tmp_path / "class.zip", five.papers)
