"""All matrices go through one module, and that module does what the library does."""

from __future__ import annotations

import ast
from pathlib import Path

import numpy as np
import pytest

from probebook.numerics.matrices import eigenvectors, inverse, lower_root, product, solution

SOURCE = Path(__file__).resolve().parents[2] / "src" / "probebook"
HOME = SOURCE / "numerics" / "matrices.py"
#: What multiplies, solves or takes apart matrices, under whatever name numpy or scipy is known.
CALLS = {
    "convolve", "correlate", "cov", "corrcoef", "dot", "einsum", "inner", "kron", "linalg", "lstsq", "matmul", "matvec",
    "polyfit", "tensordot", "vdot", "vecdot", "vecmat",
}  # fmt: skip


def matrix_lines(source: str) -> list[int]:
    """Return the lines of a module that multiply, solve or take apart matrices, or import what does."""
    lines: list[int] = []
    for node in ast.walk(ast.parse(source)):
        is_product = isinstance(node, ast.BinOp | ast.AugAssign) and isinstance(node.op, ast.MatMult)
        is_call = isinstance(node, ast.Attribute) and node.attr in CALLS
        names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
        if isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module, *(f"{node.module}.{a.name}" for a in node.names)]
        is_import = any(
            name.partition(".")[0] == "scipy"
            or name.startswith("numpy.linalg")
            or (name.startswith("numpy.") and name.rpartition(".")[2] in CALLS)
            for name in names
        )
        if is_product or is_call or is_import:
            lines.append(node.lineno)
    return sorted(set(lines))


@pytest.mark.parametrize(
    "path", [p for p in sorted(SOURCE.rglob("*.py")) if p != HOME], ids=lambda p: str(p.relative_to(SOURCE))
)
def test_matrices_go_through_one_module(path: Path) -> None:
    """No other module of the package multiplies, solves, inverts or decomposes matrices itself."""
    assert matrix_lines(path.read_text("utf-8")) == []


def test_matrices_elsewhere_are_found() -> None:
    """The check above finds every way of reaching the library, and is content with other arithmetic."""
    assert matrix_lines("c = a @ b\na @= b\nx = np.dot(a, b)\ny = np.linalg.inv(a)\nz = a.dot(b)") == [1, 2, 3, 4, 5]
    assert matrix_lines("from numpy import einsum\nimport scipy.linalg\nfrom numpy.linalg import inv") == [1, 2, 3]
    assert matrix_lines("import numpy as np\nx = np.cumsum(a) * b\n@decorated\ndef f(): ...") == []
    assert matrix_lines(HOME.read_text("utf-8")) != []


def test_the_module_does_what_it_says() -> None:
    """Inverse, solution, root and eigenvectors give their matrix back; a product goes where it is asked to."""
    rng = np.random.default_rng(1)
    half = rng.standard_normal((3, 4, 4))
    matrix = product(half, np.swapaxes(half, -1, -2)) + np.eye(4)
    assert product(matrix, inverse(matrix)) == pytest.approx(np.broadcast_to(np.eye(4), (3, 4, 4)), abs=1e-9)
    root = lower_root(matrix)
    assert product(root, np.swapaxes(root, -1, -2)) == pytest.approx(matrix)
    values, vectors = eigenvectors(matrix[0])
    assert product(vectors * values, vectors.T) == pytest.approx(matrix[0])
    found = solution(matrix[0], np.arange(4.0))
    assert found is not None
    assert product(matrix[0], found) == pytest.approx(np.arange(4.0))
    assert solution(np.zeros((2, 2)), np.ones(2)) is None
    room = np.empty((4, 4))
    assert product(half[0], half[1], out=room) is room
