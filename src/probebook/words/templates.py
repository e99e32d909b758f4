"""Templates: a sentence with holes, read by Jinja2's parser, kept in a small form of our own.

Only three things may stand in a template: text, a fact, and a fact said in ways with constant arguments. Jinja2 parses
and its tree is looked at; nothing that Jinja2 compiled ever runs. The form kept is made of what JSON can hold: a list
of texts and holes, a hole being ``[fact, [way, [arguments], {named arguments}], ...]``.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from jinja2 import Environment, nodes

__all__ = ["LONGEST", "Segment", "TemplateError", "is_segment", "parse_template"]

#: Characters of the longest template, and of the longest hole; holes of one template. What is longer is refused before
#: Jinja2 takes time over it; those in use have a quarter of each.
LONGEST, LONGEST_HOLE, MOST_HOLES = 4000, 1000, 60

Segment = str | list[Any]


class TemplateError(ValueError):
    """A template that cannot be used: the message, and ``remedy``."""

    def __init__(self, message: str, remedy: str) -> None:
        super().__init__(message)
        self.message = message
        self.remedy = remedy


def is_segment(data: object) -> bool:
    """Whether plain data is a segment: a text, or a hole with its ways, each with its arguments and named arguments."""
    if not isinstance(data, list) or not data:
        return isinstance(data, str)
    name, *ways = data
    return isinstance(name, str) and all(isinstance(way, list) and len(way) == 3 and _is_way(*way) for way in ways)


def _is_way(name: object, args: object, named: object) -> bool:
    given = (*args, *named.values()) if isinstance(args, list) and isinstance(named, dict) else (None,)
    return isinstance(name, str) and all(isinstance(each, str | int | bool) for each in given)


_HOLES_ONLY = "a sentence holds text, {{ fact }} and {{ fact|way }} only"


@cache
def _environment() -> Environment:
    from jinja2 import Environment

    return Environment(autoescape=False, keep_trailing_newline=True)


def parse_template(text: str) -> list[Segment]:
    """Return the segments of a template.

    Raises
    ------
    TemplateError
        It is too long, its braces are broken, or something but holes stands in it.
    """
    _check_size(text)
    if any(c != "\n" and (c < " " or c == "\x7f") for c in text):
        raise TemplateError("the sentence holds a control character", "take it out; a line break is allowed")
    if "{#" in text:
        raise TemplateError("a remark in braces stands in the sentence", "put remarks on lines of their own, after a #")
    if "{" not in text and "}" not in text:
        return [text] if text else []
    from jinja2 import TemplateSyntaxError

    try:
        tree = _environment().parse(text)
        segments = [segment for node in tree.body for segment in _output(node)]
    except TemplateSyntaxError as error:
        raise TemplateError(
            f"the braces cannot be read: {_plain(error)}", "write {{ fact }} or {{ fact|way }}"
        ) from error
    except RecursionError as error:
        raise TemplateError("brackets are nested too deeply", _HOLES_ONLY) from error
    for segment in segments:
        if isinstance(segment, str) and ("{" in segment or "}" in segment):
            raise TemplateError("a brace stands alone", "a hole has two braces on either side, {{ fact }}")
    return segments


def _check_size(text: str) -> None:
    """Refuse what Jinja2 would take long over."""
    if len(text) > LONGEST:
        raise TemplateError(f"the sentence is longer than {LONGEST} characters", "make two of it")
    holes = text.split("{{")[1:]
    if max(len(holes), text.count("{%")) > MOST_HOLES:
        raise TemplateError(f"the sentence has more than {MOST_HOLES} holes", "make two of it")
    if any(len(hole.partition("}}")[0]) > LONGEST_HOLE for hole in holes):
        raise TemplateError(f"a hole is longer than {LONGEST_HOLE} characters", _HOLES_ONLY)


def _plain(error: Exception) -> str:
    text = str(error).rstrip(".")
    return text[:1].lower() + text[1:]


def _output(node: nodes.Node) -> list[Segment]:
    from jinja2 import nodes

    if not isinstance(node, nodes.Output):
        raise TemplateError(f"a block ({type(node).__name__.lower()}) stands in the sentence", _HOLES_ONLY)
    return [each.data if isinstance(each, nodes.TemplateData) else _hole(each) for each in node.nodes]


def _hole(node: nodes.Expr | None) -> list[Any]:
    from jinja2 import nodes

    ways: list[Any] = []
    while isinstance(node, nodes.Filter):
        if node.dyn_args is not None or node.dyn_kwargs is not None:
            raise TemplateError(f"the way '{node.name}' is given arguments with stars", _HOLES_ONLY)
        args = [_constant(arg, node.name) for arg in node.args]
        named = {pair.key: _constant(pair.value, node.name) for pair in node.kwargs}
        ways.append([node.name, args, named])
        node = node.node
    if not isinstance(node, nodes.Name):
        what = "nothing" if node is None else type(node).__name__.lower()
        raise TemplateError(f"a hole holds {what} instead of the name of a fact", _HOLES_ONLY)
    return [node.name, *reversed(ways)]


def _constant(node: nodes.Expr, way: str) -> Any:
    from jinja2 import nodes

    if isinstance(node, nodes.Const) and isinstance(node.value, str | int | bool):
        return node.value
    raise TemplateError(f"the way '{way}' is given something but a text or a whole number", _HOLES_ONLY)
