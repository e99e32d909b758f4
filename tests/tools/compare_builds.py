"""Compare two builds: may a learner's recorded answers be marked by either, with the same outcome?

    python tests/tools/compare_builds.py OLD NEW [--scenarios DIR]

OLD and NEW are folders of a build, each with ``workbooks/`` and ``answer_keys/``. Of every question of the old sheets
the key, each slip, each option, blanks and rubbish are marked on both sheets. Reported are workbooks and questions that
are in one build only, questions whose key, bands, slips or difficulty differ, and answers that earn something else.
Texts may differ: prompts, labels, options, advice and explanations are not looked at, nor are pictures. Numbers that
differ by less than one part in a thousand million are the same number worked out in another order.

The exit code is 0 when nothing is reported, 1 when something is, 2 when there is nothing to compare.
"""

from __future__ import annotations

import argparse
import math
import sys
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from probebook.cases.library import Library, library
from probebook.questions.bench.marking import bench_marker
from probebook.questions.codec import encode_question, read_sheet
from probebook.questions.marking import mark
from probebook.questions.model import Field, FieldKind, Question, Slip

__all__ = ["differences", "main", "question_differences", "recorded"]

KEYS, WORKBOOKS = "answer_keys", "workbooks"
#: What is read and not marked, of a question, its fields, its options and its slips.
TEXTS = frozenset({"title", "prompt", "explanation", "working", "label", "text", "why", "advice", "pictures"})
#: Relative difference up to which two numbers are the same.
SAME = 1e-9
#: What nobody should give as an answer, and some will.
RUBBISH: Mapping[FieldKind, tuple[object, ...]] = {
    FieldKind.QUANTITY: ("abc", "12 parsec", "1e999", "-5 ohm", "123456.7", ["a"]),
    FieldKind.CHOICE: ("no such option", ["a"]),
    FieldKind.CHOICES: (["no such option"], "a"),
    FieldKind.ORDER: (["no such option"], "a"),
    FieldKind.BENCH: (["no such act"], "a"),
}

Response = dict[str, object]


def recorded(question: Question) -> Iterator[tuple[str, Response]]:
    """Answers as journals hold them, by name: the key first, each other one right in all fields but one."""
    key: Response = dict(question.key())
    yield "the key", key
    yield "blank", {}
    for field in question.fields:
        yield f"nothing in {field.key}", {name: given for name, given in key.items() if name != field.key}
        for given in (*RUBBISH[field.kind], *_others(field)):
            yield f"{given!r} in {field.key}", {**key, field.key: given}
    for slip in question.slips:
        given = _showing(question.field(slip.field), slip)
        yield f"the slip {slip.slip} ({given!r}) in {slip.field}", {**key, slip.field: given}


def _others(field: Field) -> Iterator[object]:
    """Answers to a field that its options allow."""
    ids = [option.id for option in field.options]
    if field.kind is FieldKind.CHOICE:
        yield from ids
    elif field.kind is FieldKind.CHOICES:
        yield from ([name] for name in ids)
        yield ids
    elif field.kind is FieldKind.ORDER:
        yield list(reversed(field.answer))
        yield list(field.answer)[1:]


def _showing(field: Field, slip: Slip) -> object:
    """An answer in which the slip shows, unless another one beside it shows first."""
    if field.kind is FieldKind.CHOICES and isinstance(slip.response, str):
        return [*field.answer, slip.response]
    if field.kind is not FieldKind.ORDER:
        return slip.response
    later, earlier = list(slip.response)
    order = [step for step in field.answer if step != later]
    order.insert(order.index(earlier), later)
    return order


# ---------------------------------------------------------------- comparing


def differences(old: Path, new: Path, trade: Library) -> Iterator[str]:
    """Where two builds differ for a learner, one line each.

    Raises
    ------
    ScenarioError
        A sheet cannot be read.
    """
    for kind, ending in ((WORKBOOKS, "ipynb"), (KEYS, "json")):
        here, there = ({path.name for path in (folder / kind).glob(f"*.{ending}")} for folder in (old, new))
        yield from (f"{kind}/{name} is in one build only" for name in sorted(here ^ there))
    for path in sorted((old / KEYS).glob("*.json")):
        if not (new / KEYS / path.name).exists():
            continue
        before, after = ({q.id: q for q in read_sheet(f / KEYS / path.name).questions} for f in (old, new))
        for name in [*before, *(name for name in after if name not in before)]:
            if name in before and name in after:
                found = question_differences(before[name], after[name], trade)
                yield from (f"{path.stem} {name}: {text}" for text in found)
            else:
                yield f"{path.stem} {name} is in one build only"


def question_differences(old: Question, new: Question, trade: Library) -> Iterator[str]:
    """Where two versions of a question differ in what they ask for, how hard they are, or what an answer earns."""
    yield from _unlike(_without_texts(encode_question(old)), _without_texts(encode_question(new)), "")
    for name, response in recorded(old):
        for final in (False, True):
            before, after = (_earned(question, response, trade, final=final) for question in (old, new))
            if before != after:
                yield f"{name}{' at the end of a paper' if final else ''} gave {before}, now {after}"


def _earned(question: Question, response: Response, trade: Library, *, final: bool) -> str:
    bench = bench_marker(question, trade) if question.bench else None
    found = mark(question, response, trade.words, final=final, bench=bench)
    parts = [f"{part.key} {part.standing.value} {part.marks:g} {part.slip}".strip() for part in found.fields]
    danger = ", dangerous" if found.critical else ""
    return f"{found.marks:g} of {found.out_of:g} ({found.standing.value}{danger}: {'; '.join(parts)})"


def _without_texts(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _without_texts(item) for key, item in value.items() if key not in TEXTS}
    return [_without_texts(item) for item in value] if isinstance(value, list) else value


def _unlike(old: Any, new: Any, place: str) -> Iterator[str]:
    if isinstance(old, dict) and isinstance(new, dict):
        for key in [*old, *(key for key in new if key not in old)]:
            yield from _unlike(old.get(key), new.get(key), f"{place}.{key}" if place else key)
    elif isinstance(old, list) and isinstance(new, list) and len(old) == len(new):
        for number, (one, other) in enumerate(zip(old, new, strict=True)):
            name = one.get("id") or one.get("key") or one.get("slip") if isinstance(one, dict) else None
            yield from _unlike(one, other, f"{place}[{name or number}]")
    elif not _same(old, new):
        yield f"{place} was {old!r}, is {new!r}"


def _same(old: Any, new: Any) -> bool:
    if isinstance(old, float) and isinstance(new, float):
        return math.isclose(old, new, rel_tol=SAME)
    return bool(old == new)


def main(arguments: Sequence[str] | None = None) -> int:
    """Print what differs; 1 when anything does, 2 when there is nothing to compare."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("old", type=Path, help="folder of the build that answers were recorded with")
    parser.add_argument("new", type=Path, help="folder of the build to compare with it")
    parser.add_argument("--scenarios", type=Path, help="folder of scenario files that benches are set up from")
    given = parser.parse_args(arguments)
    if not any((given.old / KEYS).glob("*.json")):
        print(f"{given.old / KEYS}: there are no answer keys to compare", file=sys.stderr)
        return 2
    found = 0
    for text in differences(given.old, given.new, library(given.scenarios)):
        print(text)
        found += 1
    print(f"{found} differences")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
