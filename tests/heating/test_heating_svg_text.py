"""Noise in a picture's last decimals leaves no trace."""

from __future__ import annotations

import re

from probebook.heating.svg_text import settled_svg

PICTURE = """<svg width="547.2pt" viewBox="0 0 547.2 331.2">
<defs><clipPath id="p443abdb830"><rect x="{x}" y="18.498287" width="452.9" height="241.88894"/></clipPath>
<path id="m0eb57c85a0" d="M 0 0 L {x} 3.5"/></defs>
<use xlink:href="#m0eb57c85a0" x="{x}" y="-0.000004"/><g clip-path="url(#p443abdb830)"/>
<text x="5">12.34567 of p443</text></svg>"""


def test_coordinates_keep_three_decimals_and_words_all() -> None:
    """Coordinates are rounded, nought has no sign, and what is read stays as it is."""
    found = settled_svg(PICTURE.format(x="57.698365"))
    assert 'x="57.698" y="0"/>' in found
    assert '<rect x="57.698" y="18.498" width="452.9" height="241.889"/>' in found
    assert "12.34567 of p443" in found


def test_noise_changes_neither_coordinates_nor_names() -> None:
    """Pictures that differ by the sixth decimal, and so in the names made from it, are the same bytes."""
    one, other = PICTURE.format(x="57.698365"), PICTURE.format(x="57.698364").replace("443abdb830", "012345678a")
    assert settled_svg(one) == settled_svg(other)
    assert settled_svg(one) != settled_svg(PICTURE.format(x="58.698365"))


def test_names_still_name_what_they_named() -> None:
    """Every reference has one definition, and different things have different names."""
    found = settled_svg(PICTURE.format(x="57.698365"))
    names = re.findall(r' id="([^"]+)"', found)
    assert len(set(names)) == 2
    assert sorted(re.findall(r"#([a-z0-9]+)", found)) == sorted(names)
