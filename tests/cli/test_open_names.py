from __future__ import annotations

from pathlib import Path

import pytest

from probebook.cli.open import find_workbook, server_options
from probebook.errors import UsageError


def test_a_workbook_is_found_by_part_of_its_name(tmp_path: Path) -> None:
    """A part, a whole name or a path names a workbook; none or several are one sentence with the choice."""
    with pytest.raises(UsageError, match="probebook build"):
        find_workbook("meter", tmp_path)
    for stem in ("01-meter", "01-meter-and-leads", "02-ohms"):
        (tmp_path / f"{stem}.ipynb").touch()
    assert find_workbook("ohms", tmp_path) == tmp_path / "02-ohms.ipynb"
    assert find_workbook("01-meter", tmp_path) == tmp_path / "01-meter.ipynb"
    assert find_workbook("some/where/02-ohms.ipynb", tmp_path) == tmp_path / "02-ohms.ipynb"
    assert find_workbook(None, tmp_path) is None
    with pytest.raises(UsageError, match=r"2 workbooks; choose one of 01-meter, 01-meter-and-leads\."):
        find_workbook("meter", tmp_path)
    with pytest.raises(UsageError, match="no workbook"):
        find_workbook("kettle", tmp_path)


def test_the_address_holds_any_name(tmp_path: Path) -> None:
    """A name with spaces or letters beyond ASCII is written into the address as RFC 3986 asks."""
    (tmp_path / "für dich #1.ipynb").write_text("{}", encoding="utf-8")
    options = server_options(tmp_path / "für dich #1.ipynb", tmp_path, 8888, lab=True)
    assert "--LabApp.default_url=/doc/tree/f%C3%BCr%20dich%20%231.ipynb" in options
    options = server_options(tmp_path / "für dich #1.ipynb", tmp_path, 8888)
    assert "--LabApp.default_url=/probebook/workbook/f%C3%BCr%20dich%20%231" in options
    assert "--LabApp.default_url=/probebook/" in server_options(None, tmp_path, 8888)
