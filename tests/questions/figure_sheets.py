"""Questions taken apart as their reader has them: figures with units, printed sums, and what accounts for them."""

from __future__ import annotations

import ast
import math
import re
from dataclasses import dataclass, field

from probebook.appliances import Appliance, Branch
from probebook.cases.library import library

TRADE = library()

NUMBER = r"\d(?:[\d ,\u202f]*\d)?(?:\.\d+)?"
UNITS = {"Ω": 1.0, "V": 1.0, "W": 1.0, "A": 1.0, "min": 1.0, "°C": 1.0, "K": 1.0, "%": 1.0}
SCALED = {"kΩ": 1e3, "MΩ": 1e6, "kW": 1e3, "mA": 1e-3, "kA": 1e3, "kV": 1e3} | UNITS
#: A figure with its unit: ``1 000 Ω``, ``±5 %``, ``3.30 kΩ``.
WITH_UNIT = re.compile(
    rf"(?<![\w.])({NUMBER})[ \u00a0\u202f]({'|'.join(sorted(SCALED, key=len, reverse=True))})(?![\w/])"
)
BARE = re.compile(rf"(?<![\w.‘])({NUMBER})(?![\w]|\.\d)")
SUM = re.compile(
    r"((?:[\d.()²÷×+−/ \u202f]|(?<=\d) (?:Ω|V|W|A|min|%)(?= ))+?) = ±?(" + NUMBER + r")(?: (%|[kMm]?[ΩAWV]))?"
)


def number(text: str) -> float:
    """A printed number."""
    return float(re.sub(r"[ ,\u202f]", "", text))


def plain(text: str) -> str:
    """A text without pictures and emphasis, a percentage of something written as a product."""
    text = re.sub(r"<svg.*?</svg>", "", text, flags=re.S).replace("**", "").replace("*", "")
    return re.sub(r"([\d.]+) % of", lambda share: f"{float(share[1]) / 100:g} ×", text)


def figures(text: str) -> list[float]:
    """Every figure with its unit, in SI."""
    return [value for value, _ in stepped(text)]


def stepped(text: str) -> list[tuple[float, float]]:
    """Every figure with its unit, in SI, and one step of its last digit."""
    found = WITH_UNIT.findall(plain(text))
    return [(number(n) * SCALED[u], SCALED[u] * 10.0 ** -len(n.partition(".")[2])) for n, u in found]


def worked_out(text: str) -> float | None:
    """A sum of figures, brackets and signs, worked out; None for anything else."""
    text = text.strip(" .,:") if text.count("(") == text.count(")") else ""
    text = re.sub(r" (?:Ω|V|W|A|min|%)(?= |\)|$)", "", text).replace("²", "**2").replace("−", "-")
    text = re.sub(r"(?<=\d)[ \u202f](?=\d{3}\b)", "", text.replace("×", "*").replace("÷", "/").replace(",", ""))
    try:
        tree = ast.parse(text.strip(), mode="eval")
    except SyntaxError:
        return None
    allowed = (ast.Expression, ast.BinOp, ast.Constant, ast.operator)
    if not all(isinstance(node, allowed) for node in ast.walk(tree)) or not isinstance(tree.body, ast.BinOp):
        return None
    return float(eval(compile(tree, "sum", "eval"), {}))


@dataclass
class Sheet:
    """One question as its key has it, the appliance it names, and the figures that are accounted for."""

    kind: str
    prompt: str
    said: str
    options: str
    appliance: Appliance | None
    known: list[float] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)

    @property
    def named(self) -> list[Branch]:
        """Branches of the parts that the prompt names by mark or by title."""
        branches = self.appliance.branches if self.appliance else ()
        marks = {b.part for b in branches if re.search(rf"\b{b.part}\b", self.prompt)}
        titles = {p.mark for p in self.appliance.parts if p.title in self.prompt} if self.appliance else set()
        return [b for b in branches if b.part in marks | titles]

    def knows(self, value: float, step: float = 0.0) -> bool:
        """Whether a figure is accounted for, rounded to its last digit (``step``) or to three figures."""
        room = max(0.51 * step, 0.0051 * abs(value)) + 1e-9
        return any(abs(value - k) <= room for k in self.known)


def sheet_of(kind: str, data: dict[str, object], appliance: Appliance | None = None) -> Sheet:
    """A question from its key."""
    prompt = plain(str(data["prompt"]))
    if appliance is None:
        named = [TRADE.appliance(i) for i in TRADE.appliance_ids]
        found = [a for a in named if a.title.lower().removeprefix("built-in ") in prompt.lower()]
        appliance = max(found, key=lambda a: len(a.title)) if found else None
    fields = data["fields"]
    assert isinstance(fields, list)
    options = "\n".join(str(o.get("text", "")) for f in fields for o in f.get("options", ()))
    said = re.sub(
        r"(That would be for [^.]+\.) .*", r"\1", str(data["explanation"])
    )  # quoted from the proof of the case
    for fault in appliance.faults if appliance else ():
        said = said.replace(fault.title, "")  # figures of a title are of the file
    return Sheet(kind, prompt, plain(f"{said}\n{data['working']}"), options, appliance)


def take_sums(sheet: Sheet) -> None:
    """Account for what printed sums of accounted figures come to; a sum that is wrong is noted."""
    for _ in range(3):
        for left, right, unit in SUM.findall(sheet.said):
            worth, result = worked_out(left), number(right) * {"%": 0.01}.get(unit, SCALED.get(unit, 1.0))
            if worth is None:
                continue
            if unit == "MΩ":  # of paths in megohms
                worth *= 1e6
            if not math.isclose(worth, result, rel_tol=0.011, abs_tol=0.006):
                sheet.wrong.append(f"{left} = {right} {unit}")
            parts = [number(n) for n in BARE.findall(left)]
            if all(sheet.knows(n) or sheet.knows(n * 1e6) or n <= 10 for n in parts):
                sheet.known += [result, worth, 100 * worth]
