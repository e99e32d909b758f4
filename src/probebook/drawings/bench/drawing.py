"""The appliance as it stands on the bench, as built: parts to be touched, wires that come off, covers to take off.

Everything that can be reached is a group of its own, named by its class and by data: ``terminal`` (``data-terminal``),
``flag`` (the end of a wire: ``data-wire`` and ``data-terminal``), ``wire``, ``part`` and ``cover``. How the job stands
is shown by whoever shows the drawing: it marks the groups, and the style sheet does the rest.
"""

from __future__ import annotations

from html import escape

from probebook.appliances.model import Appliance, PartKind, Wire
from probebook.drawings.bench.layout import Arranged, Group, Measures, Stand, arranged
from probebook.drawings.bench.layout import narrow as NARROW  # noqa: N812
from probebook.drawings.bench.layout import wide as WIDE  # noqa: N812
from probebook.drawings.colours import GROUND, INK, PAPER, SOFT, conductor_colour
from probebook.drawings.harness_drawing import HarnessFacts
from probebook.drawings.saying import part_title, wire_said
from probebook.drawings.svg import SMALL, Box, Label, Point, document, num
from probebook.drawings.telling.describing import describe
from probebook.words import Phrase, Words

__all__ = ["workbench"]

_RAYS = ((0, -12, 0, -16), (0, 12, 0, 16), (-12, 0, -16, 0), (12, 0, 16, 0))


def workbench(words: Words, appliance: Appliance, *, narrow: bool = False, id_prefix: str = "") -> str:
    """Draw the appliance for the bench; ``narrow`` for a telephone. Every line is 32 units high."""
    plan = arranged(words, appliance, NARROW if narrow else WIDE)
    body = [_wire(words, wire, plan) for wire in appliance.wires]
    stands = [stand for group in plan.groups for stand in group.stands]
    body += [_part(words, stand, plan.sizes) for stand in stands]
    body += [_terminal(name, at, side, used, plan.sizes) for name, (at, side, used) in plan.terminals.items()]
    body += [_flag(words, wire, end, plan) for wire in appliance.wires for end in dict.fromkeys((wire.start, wire.end))]
    body += [_cover(group, plan.sizes, str(words.noun(group.cover))) for group in plan.groups if group.cover]
    facts = HarnessFacts(words.noun(appliance.title), Phrase(describe(words, appliance)))
    view = Box(-1, -1, plan.sizes.width + 1, plan.height + 1)
    return document(view, words.say(facts, "title"), words.say(facts, "description"), body, prefix=id_prefix)


def _path(points: str, stroke: str, width: float, extra: str = "") -> str:
    return f'<path d="{points}" fill="none" stroke="{stroke}" stroke-width="{num(width)}"{extra}/>'


def _strokes(path: str, wire: Wire) -> str:
    """A run in its colours, said once: the page lays stroke over stroke, the last one dashed for a stripe."""
    colour = conductor_colour(wire.colour)
    strokes = ((6, INK), (3.4, colour.shade), *(((3.4, colour.stripe),) if colour.stripe else ()))
    return f'<path d="{path}" data-strokes="{" ".join(f"{wide}{shade}" for wide, shade in strokes)}"/>'


def _wire(words: Words, wire: Wire, plan: Arranged) -> str:
    sizes = plan.sizes
    at: list[tuple[Point, int]] = []
    stubs: list[str] = []
    for end in (wire.start, wire.end):
        y, side = plan.ends[wire.mark, end]
        (tx, ty), _, _ = plan.terminals[end]
        near, far = sizes.flag_x(side), sizes.flag_x(side) - side * sizes.flag
        at.append(((far, y), side))
        stub = f"M{num(tx)} {num(ty)} L{num(near)} {num(y)} L{num(far)} {num(y)}"
        stubs.append(f'<g class="stub" data-terminal="{end}">{_strokes(stub, wire)}</g>')
        tip = f"M{num(far)} {num(y)} q{num(side * 4)} 0 {num(side * 8)} -9"
        stubs.append(f'<g class="bare" data-terminal="{end}">{_strokes(tip, wire)}</g>')
    ((x0, y0), s0), ((x1, y1), s1) = at
    reach = sizes.space * 0.5 if s0 != s1 else min(sizes.space * 0.95, 24 + abs(y1 - y0) * 0.3)
    run = f"M{num(x0)} {num(y0)} C{num(x0 - s0 * reach)} {num(y0)} {num(x1 - s1 * reach)} {num(y1)} {num(x1)} {num(y1)}"
    said = wire_said(words, wire, "harness")
    gap = _path(run, GROUND, 10, ' class="gap" stroke-linecap="butt"')
    touch = _path(run, GROUND, 16, ' class="touch" stroke-opacity="0"')
    return (
        f'<g class="wire" data-wire="{wire.mark}" data-from="{wire.start}" data-to="{wire.end}">'
        f'<title>{escape(said)}</title>{gap}<g class="run">{_strokes(run, wire)}</g>{"".join(stubs)}{touch}</g>'
    )


def _flag(words: Words, wire: Wire, end: str, plan: Arranged) -> str:
    """The end of a wire: its mark and colour on a tag that can be taken hold of."""
    sizes = plan.sizes
    y, side = plan.ends[wire.mark, end]
    near = sizes.flag_x(side)
    left = min(near, near - side * sizes.flag)
    code = conductor_colour(wire.colour).code
    middle = left + sizes.flag / 2
    if sizes.stacked:
        texts = Label(wire.mark, middle, y - 2, SMALL, "middle", bold=True).svg()
        texts += Label(code, middle, y + 11, SMALL, "middle").svg()
    else:
        texts = Label(f"{wire.mark} {code}", middle, y + 4.3, SMALL, "middle").svg()
    return (
        f'<g class="flag" data-wire="{wire.mark}" data-terminal="{end}">'
        f"<title>{escape(wire_said(words, wire, 'harness'))}</title>"
        f'<rect class="touch" x="{num(left)}" y="{num(y - 15)}" width="{num(sizes.flag)}" height="30"'
        f' fill="{GROUND}" fill-opacity="0"/>'
        f'<rect class="tag" x="{num(left + 1)}" y="{num(y - 13)}" width="{num(sizes.flag - 2)}" height="26" rx="5"'
        f' fill="{PAPER}" stroke="{SOFT}" stroke-width="1"/>{texts}</g>'
    )


def _part(words: Words, stand: Stand, sizes: Measures) -> str:
    left = sizes.edge if stand.side < 0 else sizes.width - sizes.edge - sizes.box
    shapes = [
        f'<rect class="box" x="{num(left)}" y="{num(stand.top)}" width="{num(sizes.box)}"'
        f' height="{num(stand.height(sizes))}" rx="6" fill="{PAPER}" stroke="{SOFT}" stroke-width="1.5"/>'
        f'<rect class="head touch" x="{num(left + 2)}" y="{num(stand.top + 1)}" width="{num(sizes.box - 4)}"'
        f' height="{num(stand.head_height)}" rx="5" fill="{PAPER}"/>'
    ]
    for i, line in enumerate(stand.head):
        shapes.append(Label(line, left + 8, stand.top + 18 + 16 * i, sizes.text, bold=True).svg())
    shapes.append(_sign(stand, left + sizes.box - 14, stand.top + 14))
    return (
        f'<g class="part" data-part="{stand.part.mark}"><title>{escape(part_title(words, stand.part))}</title>'
        f"{''.join(shapes)}</g>"
    )


def _sign(stand: Stand, x: float, y: float) -> str:
    """What lights or heats, small beside its name, with rays that are shown when it does."""
    kind = stand.part.kind
    if kind in (PartKind.LAMP, PartKind.NEON):
        shape = (
            f'<circle cx="{num(x)}" cy="{num(y)}" r="7"/>'
            f'<path d="M{num(x - 5)} {num(y - 5)} l10 10 M{num(x + 5)} {num(y - 5)} l-10 10"/>'
        )
    elif kind is PartKind.ELEMENT:
        shape = f'<rect x="{num(x - 9)}" y="{num(y - 5)}" width="18" height="10"/>'
        shape += f'<path d="M{num(x - 3)} {num(y - 5)} v10 M{num(x + 3)} {num(y - 5)} v10"/>'
    elif kind is PartKind.MOTOR:
        shape = f'<circle cx="{num(x)}" cy="{num(y)}" r="7"/><path d="M{num(x - 4)} {num(y)} a4 4 0 1 1 4 4"/>'
    else:
        return ""
    rays = " ".join(f"M{num(x + a)} {num(y + b)} L{num(x + c)} {num(y + d)}" for a, b, c, d in _RAYS)
    return (
        f'<g class="sign" fill="none" stroke="{INK}" stroke-width="1.5">{shape}<path class="rays" d="{rays}"'
        ' stroke-width="2.5"/></g>'
    )


def _terminal(name: str, at: Point, side: int, used: float, sizes: Measures) -> str:
    x, y = at
    tall = min(used, sizes.pitch) - 2
    inner = 44.0
    left = x - inner if side < 0 else x - 9
    text = Label(name, x + side * 14, y + 4.3, SMALL, anchor="end" if side < 0 else "start").svg()
    return (
        f'<g class="terminal" data-terminal="{name}" data-x="{num(x)}" data-y="{num(y)}"><title>{name}</title>'
        f'<rect class="touch" x="{num(left)}" y="{num(y - tall / 2)}" width="{num(inner + 9)}" height="{num(tall)}"'
        f' rx="4" fill="{GROUND}" fill-opacity="0"/>{text}'
        f'<rect class="tag" x="{num(x - 8)}" y="{num(y - 6)}" width="16" height="12" rx="2" fill="{PAPER}"'
        f' stroke="{INK}" stroke-width="1.8"/></g>'
    )


def _cover(group: Group, sizes: Measures, name: str) -> str:
    """A panel over what it hides, and the strip that stays when it is off."""
    box = group.box
    width, height = box.right - box.left, box.bottom - box.top
    middle = (box.top + box.bottom) / 2
    left, top = num(box.left), num(box.top)
    inset = 12.0
    screws = "".join(
        f'<circle cx="{num(x)}" cy="{num(y)}" r="4.5" fill="{PAPER}" stroke="{SOFT}" stroke-width="1.2"/>'
        f'<path d="M{num(x - 3)} {num(y + 2)} l6 -4" stroke="{SOFT}" stroke-width="1.2"/>'
        for x in (box.left + inset, box.right - inset)
        for y in (box.top + inset, box.bottom - inset)
    )
    label = Label(name, box.left + width / 2, middle + 5, sizes.text + 1, "middle", bold=True).svg()
    strip = Label(name, box.left + 34, box.top + 19, SMALL, bold=True, fill=SOFT).svg()
    return (
        f'<g class="cover" data-cover="{escape(group.cover)}"><title>{escape(name)}</title>'
        f'<rect class="outline" x="{left}" y="{top}" width="{num(width)}" height="{num(height)}" rx="8" fill="none"'
        f' stroke="{SOFT}" stroke-width="1.5" stroke-dasharray="6 5"/>'
        f'<g class="strip"><rect class="touch" x="{left}" y="{top}" width="{num(width)}" height="{num(sizes.strip)}"'
        f' rx="8" fill="{GROUND}"/><path d="M{num(box.left + 10)} {num(box.top + 18)} h16 M{num(box.left + 14)}'
        f' {num(box.top + 10)} l4 -4 l4 4 M{num(box.left + 18)} {num(box.top + 6)} v9" fill="none" stroke="{SOFT}"'
        f' stroke-width="1.8"/>{strip}</g>'
        f'<g class="panel"><rect class="touch plate" x="{left}" y="{top}" width="{num(width)}" height="{num(height)}"'
        f' rx="8" fill="#d5dade" stroke="{SOFT}" stroke-width="2"/>{screws}{label}</g></g>'
    )
