"""A class that was set, as the tests of assessment speak of it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from probebook.assessment.model import Learner, PaperSet

PASSPHRASE = "a passphrase for tests"
LEARNERS = (
    Learner("l1", "Ada Lamp"),
    Learner("l2", "Bo Fuse", extra_time=1.25, large_print=True),
    Learner("l3", "Cy Wire", extra_time=1.5),
    Learner("l4", "=cmd|' /C calc'!A1"),
    Learner("l5", "Ed <script>alert(1)</script>", language="qps"),
)


#: A blueprint with a bench that is quick to work out.
BENCHED = """
id = "on-the-bench"
title = "On the bench"
summary = "An invented trial."
reader = "apprentice"
region = "gb"
minutes = "40 min"
band = [-3.0, 3.0]
pass-share = 0.6
safety = "paper"

[[row]]
id = "watts"
outcome = "power"
kind = "power"
marks = 2
options = { form = "watts" }

[[row]]
id = "bench"
outcome = "conclude"
kind = "bench"
marks = 6
appliances = ["immersion-heater", "kettle"]
competences = ["C06", "C26"]
"""


@dataclass(frozen=True, repr=False)
class Class:
    """A class that was set: its papers, and the folder they lie in."""

    papers: PaperSet
    folder: Path
    key: Path

    def name(self, number: int) -> str:
        """The stem of a paper's file."""
        return self.papers.blueprint.paper_name(self.papers.papers[number].learner)

    def text(self, number: int) -> str:
        """A paper's file as text."""
        return (self.folder / "papers" / f"{self.name(number)}.ipynb").read_text("utf-8")
