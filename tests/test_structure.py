"""The house rules that can be counted: sizes of functions, files and folders, and sentences in the code.

Population: every module of the package. What may stand in the code is listed here, once, with the reason.
"""

from __future__ import annotations

import ast
import re
import statistics
from collections.abc import Iterator
from pathlib import Path

import pytest
from radon.complexity import cc_visit

PACKAGE = Path(__file__).resolve().parents[1] / "src" / "probebook"
MODULES = sorted(PACKAGE.rglob("*.py"))

LONGEST_FUNCTION = 60
MOST_PARAMETERS = 8
#: Radon's grade C ends here.
MOST_COMPLEX = 20
MEDIAN_FILE = 160
MOST_MODULES = 20
#: A text of so many words is a sentence somebody reads.
SENTENCE = 4

#: Calls whose texts are for whoever writes scenarios, or are help of a command.
FOR_AUTHORS = {
    "AnswerError", "Argument", "ArgumentsError", "Finding", "JournalError", "Option", "PutBack", "ScenarioError",
    "TemplateError", "Unfit", "UsageError", "VerificationError", "argument", "command", "group", "jobs_option",
    "option", "_fault", "_unread", "_wrong",
}  # fmt: skip

#: Modules in which a longer text may stand, and why.
EXCEPTIONS = {
    "appliances/checking.py": "findings of 'probebook check', for authors",
    "appliances/checks/phases.py": "findings of 'probebook check', for authors",
    "appliances/faults.py": "errors for authors: a near name",
    "appliances/loading.py": "errors for authors",
    "appliances/parts.py": "errors for authors, with examples of TOML",
    "appliances/relays.py": "errors for authors",
    "appliances/supply/phases.py": "errors for authors, with examples of TOML",
    "assessment/setting/blueprints.py": "errors for authors: a near name",
    "assessment/setting/items.py": "errors for authors: why a draw was put back",
    "assessment/setting/notebook.py": "a line of code of a notebook",
    "assessment/report/plots.py": "SVG",
    "assessment/report/history.py": "statements in the database's language",
    "assumptions.py": "errors for authors",
    "assessment/sitting/page.py": "HTML",
    "cli/__init__.py": "help of commands",
    "cli/open.py": "a setting of the server",
    "cli/secrets_asked.py": "a prompt of a command",
    "diagnosis/files/reading.py": "errors for authors of evidence files",
    "diagnosis/symptom_table.py": "ids that stand in files, never shown",
    "drawings": "SVG",
    "hub/checking.py": "a line of code for another Python",
    "learning/choosing.py": "a type",
    "page/frame.py": "HTML",
    "page/opening.py": "lines of code for a kernel",
    "page/reading.py": "a line of code of a notebook",
    "page/start/tables.py": "HTML",
    "page/terms.py": "HTML",
    "page/workbook_page.py": "HTML",
    "workbook/forms/bundle.py": "patterns and lines of a script",
    "site/frame.py": "HTML",
    "site/pages.py": "HTML",
    "physical/use.py": "ids that stand in files, never shown",
    "publish/package/rules": "rules of a standard and findings of its check, for whoever mends the writer",
    "publish/paper.py": "lines of the typesetter's language",
    "publish/pictures.py": "lines of the typesetter's language",
    "questions/options/named.py": "errors for authors of plans",
    "workbook/running.py": "lines of code for other processes",
    "questions/power/facts/circuits.py": "a line of a Markdown table",
    "questions/power/slips/element.py": "names of wrong paths, as slips.toml writes them",
    "errors.py": "errors for authors: a near name",
    "regions/checking.py": "findings of 'probebook check', for authors",
    "regions/loading.py": "errors for authors",
    "regions/region.py": "errors for authors: a near name",
    "textfiles.py": "errors for authors",
    "textmodels.py": "errors for authors",
    "unit_table.py": "definitions in pint's language, and names of units, which words translate as nouns",
    "units.py": "errors for authors; learners are told by questions/marking.toml",
    "words": "errors for authors of texts, and names of ways",
    "workbook/document.py": "HTML",
    "workbook/forms/hints.py": "a pattern",
    "workbook/build": "lines of code of a notebook, errors for authors",
    "workbook/lookedover.py": "findings of 'probebook check', for authors",
    "workbook/pages/tables.py": "a line of a Markdown table",
    "workbook/preview/page.py": "HTML",
    "workbook/verifying.py": "findings of 'probebook verify', for authors",
}  # fmt: skip


def name_of(path: Path) -> str:
    """Return the path of a module in the package."""
    return path.relative_to(PACKAGE).as_posix()


def functions(path: Path) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    """Yield every function and method of a module."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node


def parameters(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Return how many parameters a function takes, ``self`` left out."""
    names = [arg.arg for arg in (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs)]
    extra = (node.args.vararg is not None) + (node.args.kwarg is not None)
    return len([name for name in names if name not in ("self", "cls")]) + extra


def sentences(source: str) -> list[tuple[int, str]]:
    """Return (line, text) of every text of four words or more that is neither a docstring nor for authors."""
    tree = ast.parse(source)
    fine: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            fine.add(id(node.value))
        called = isinstance(node, ast.Call) and getattr(node.func, "id", getattr(node.func, "attr", "")) in FOR_AUTHORS
        if called or isinstance(node, ast.Raise):
            fine.update(id(part) for part in ast.walk(node))
    return [
        (node.lineno, node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and id(node) not in fine
        and len(node.value.split()) >= SENTENCE
    ]


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_functions_are_short_and_take_few_things(path: Path) -> None:
    """No function is longer than 60 lines or takes more than eight parameters."""
    found = [
        f"{node.name}: {node.end_lineno - node.lineno + 1} lines, {parameters(node)} parameters"
        for node in functions(path)
        if node.end_lineno is not None
        and (node.end_lineno - node.lineno + 1 > LONGEST_FUNCTION or parameters(node) > MOST_PARAMETERS)
    ]
    assert found == []


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_no_block_is_more_complex_than_c(path: Path) -> None:
    """No block is graded worse than C by radon."""
    blocks = cc_visit(path.read_text("utf-8"))
    assert [f"{block.name}: {block.complexity}" for block in blocks if block.complexity > MOST_COMPLEX] == []


def test_files_and_folders_are_small() -> None:
    """Half of the files have at most 160 lines, and no folder holds more than twenty modules."""
    assert statistics.median(len(path.read_text("utf-8").splitlines()) for path in MODULES) <= MEDIAN_FILE
    folders = {path.parent for path in MODULES}
    assert [str(f.relative_to(PACKAGE)) for f in folders if len(list(f.glob("*.py"))) > MOST_MODULES] == []


def test_no_sentence_stands_in_the_code() -> None:
    """What people read lies in scenarios/text; what may stand in Python is listed above with its reason."""
    found = [
        f"{name_of(path)}, line {line}: {text[:60]!r}"
        for path in MODULES
        if not any(name_of(path) == name or name_of(path).startswith(f"{name}/") for name in EXCEPTIONS)
        for line, text in sentences(path.read_text("utf-8"))
    ]
    assert found == []


#: A text in quotation marks in a script: one of three sorts of marks to the next of the same on its line.
QUOTED = re.compile(r"""(["'`])((?:(?!\1)[^\\\n]|\\.)*)\1""")
#: Remarks.
REMARK = re.compile(r"/\*.*?\*/|^\s*//[^\n]*$", re.DOTALL | re.MULTILINE)
#: Texts of a script that are none, by how they begin, and why.
SCRIPT_EXCEPTIONS = {
    "${name} is not shared": "an error for whoever installs, in the browser's console",
    "Runs Probebook's workbooks": "the front end's list of plugins, which is in English",
    "on when it should": "an id that is never shown",
    "import sys; sys.path": "a line of code for a kernel",
    "viewBox width": "names of attributes",
    "P DIV SPAN": "names of tags",
}
SCRIPTS = sorted(path for path in PACKAGE.rglob("*.js") if "node_modules" not in path.parts)


def script_sentences(source: str) -> list[str]:
    """Return every text of a script in which four words or more follow each other."""
    texts = (match[2] for match in QUOTED.finditer(REMARK.sub("", source)))
    return [text for text in texts if re.search(r"[^\W\d_]{2,}(?:,? [^\W\d_]+){3,}", text)]


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.name)
def test_no_sentence_stands_in_a_script(path: Path) -> None:
    """What people read in a browser comes from the kernel, or lies in says.json."""
    found = script_sentences(path.read_text("utf-8"))
    assert [text for text in found if not text.startswith(tuple(SCRIPT_EXCEPTIONS))] == []


def test_every_exception_of_a_script_is_needed() -> None:
    """One that nothing makes use of any more is taken out."""
    found = [text for path in SCRIPTS for text in script_sentences(path.read_text("utf-8"))]
    assert [name for name in SCRIPT_EXCEPTIONS if not any(text.startswith(name) for text in found)] == []


def test_a_sentence_in_a_script_is_found() -> None:
    """The check above sees one in each sort of quotation marks, and leaves remarks and lists of classes alone."""
    code = "let a = 'do not touch this now';\nlet b = `it is ${x} and that is all`;\nlet c = 'M 0 0 L 1 1';"
    source = f"// a remark of five words\n{code}"
    assert script_sentences(source) == ["do not touch this now", "it is ${x} and that is all"]


def test_every_exception_is_needed() -> None:
    """An exception that nothing makes use of any more is taken out."""
    for name in EXCEPTIONS:
        modules = [PACKAGE / name] if name.endswith(".py") else sorted((PACKAGE / name).rglob("*.py"))
        assert any(sentences(path.read_text("utf-8")) for path in modules), name


def test_a_sentence_is_found() -> None:
    """The check above sees a sentence in an f-string and in a table, and leaves docstrings and errors alone."""
    source = '"""A docstring of five words."""\nX = f"{1} is the number of them"\nraise E("this is for the author")\n'
    assert [text for _, text in sentences(source)] == [" is the number of them"]
