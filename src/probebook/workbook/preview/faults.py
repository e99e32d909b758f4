"""The table of faults: what each changes, how it looks, how likely it is; and what checking the file found."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from probebook.appliances import Appliance, BranchKind, Change, Fault
from probebook.words import Phrase, Words
from probebook.workbook.markup import safe
from probebook.workbook.preview import facts as told
from probebook.workbook.preview.page import heads, table

if TYPE_CHECKING:
    from probebook.appliances.checking import Finding

__all__ = ["faults_html", "findings_html"]


def faults_html(appliance: Appliance, words: Words) -> str:
    """The faults in the order of the file, with their share of all calls and on whose word it stands."""
    texts = told.FaultsTexts()
    total = math.fsum(fault.likelihood for fault in appliance.faults) or 1.0
    return table(
        words.say(texts, "caption"),
        heads(words, texts, "fault", "changes", "looks", "likelihood", "mending"),
        (_row(appliance, fault, fault.likelihood / total, words) for fault in appliance.faults),
    ) + _bases(appliance, words)


def _row(appliance: Appliance, fault: Fault, share: float, words: Words) -> list[str]:
    none = words.say(told.PageTexts(), "none")
    bar = f'<span class="bar" style="width:{share * 12:.2f}em" aria-hidden="true"></span>'
    return [
        safe(fault.title),
        safe("; ".join(_changes(appliance, fault, words)) or words.say(told.FaultsTexts(), "no-change")),
        safe(fault.looks or none),
        f'<span class="keep">{bar}{safe(words.say(told.ShareFacts(share), "share"))}</span>',
        safe(fault.mend or none),
    ]


def _bases(appliance: Appliance, words: Words) -> str:
    bases = Counter(fault.basis for fault in appliance.faults)
    usual = max(bases, key=lambda basis: bases[basis], default="")
    said = [words.say(told.BasisFacts(usual, ()), "basis-unless" if len(bases) > 1 else "basis")]
    for basis in bases:
        if basis != usual:
            titles = tuple(fault.title for fault in appliance.faults if fault.basis == basis)
            said.append(words.say(told.BasisFacts(basis, titles), "basis-of"))
    return "".join(f"<p>{safe(sentence)}</p>" for sentence in said)


def _changes(appliance: Appliance, fault: Fault, words: Words) -> Iterator[Phrase]:
    for change in fault.changes:
        what = tuple(_change(appliance, change, words)) or (words.say(told.ChangeTexts(), "as-it-was"),)
        yield words.say(told.ChangeFacts(_branch(change.branch, words), what), "whole")
    if fault.offset:
        side = told.OffsetFacts(fault.target, abs(fault.offset), "above" if fault.offset > 0 else "below")
        yield words.say(side, "offset")
    if fault.volts:
        yield _low_supply(appliance, fault.volts, words)
    if fault.stops:
        yield words.say(told.StopsFacts(fault.stops), "stops")
    if fault.setting:
        yield words.say(told.StopsFacts(appliance.position(fault.setting).title), "left-at")
    if fault.recovers:
        yield words.say(told.FaultsTexts(), "dried")


def _low_supply(appliance: Appliance, volts: float, words: Words) -> Phrase:
    """The volts of a low supply as its file says them: of three lines between two."""
    supply = appliance.supply
    if not appliance.other_lines:
        return words.say(told.LowSupplyFacts(volts), "supply")
    return words.say(told.LowSupplyFacts(volts * supply.between_lines / supply.volts), "supply-lines")


def _change(appliance: Appliance, change: Change, words: Words) -> Iterator[Phrase]:
    kind = appliance.branches[appliance.branch(change.branch)].kind
    texts = told.ChangeTexts()
    if change.force is not None:
        if math.isinf(change.force):
            yield words.say(texts, "open")
        elif kind is BranchKind.WIRE:
            yield words.say(texts, "joined")
        else:
            closed = "closed" if kind is BranchKind.CONTACT else "forced"
            yield words.say(told.ChangeOhms(change.force), closed)
        if change.force_hot is not None and change.force_hot != change.force:
            open_then = math.isinf(change.force_hot)
            yield (
                words.say(texts, "open-at-work")
                if open_then
                else words.say(told.ChangeOhms(change.force_hot), "at-work")
            )
    if change.factor != 1.0:
        yield words.say(told.ChangeFactor(change.factor), "factor")
    if change.series:
        yield words.say(told.ChangeOhms(change.series), "more")


def _branch(name: str, words: Words) -> Phrase:
    """A branch as a reader may take it: a path to metalwork and a wire moved to another tag are spelt out."""
    for sign, key in (("~", "to-metal"), (">", "on-tag")):
        if sign in name:
            one, _, other = name.partition(sign)
            return words.say(told.BranchFacts(one, other.partition("~")[0]), key)
    return words.say(told.BranchFacts(name, ""), "plain")


def findings_html(findings: Sequence[Finding], words: Words) -> str:
    """What checking the file found; the findings themselves are for its author and stand as they are."""
    if not findings:
        return f"<p>{safe(words.say(told.CheckTexts(), 'sound'))}</p>"
    return "".join(_finding(finding, words) for finding in findings)


def _finding(finding: Finding, words: Words) -> str:
    severity = words.say(told.FindingFacts(finding.severity.value), "severity")
    return f'<p class="finding"><strong>{safe(severity)}</strong>: {safe(str(finding))}</p>\n'
