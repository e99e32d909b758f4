"""Tables of a workbook in the page's own dress."""

from __future__ import annotations

import html.parser
import re

from probebook.page.cards import carded

TABLE = """<table>
<thead>
<tr>
<th>#</th>
<th>controls</th>
<th style="text-align: right">the <em>meter</em> shows</th>
</tr>
</thead>
<tbody>
<tr>
<td>1</td>
<td>–</td>
<td><strong>3 Ω</strong></td>
</tr>
<tr>
<td>2</td>
<td>off</td>
<td><strong>OL</strong></td>
</tr>
</tbody>
</table>
"""


class Cells(html.parser.HTMLParser):
    """The tags of a table with their attributes, none of which may be there twice."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert len(dict(attrs)) == len(attrs), attrs
        self.found.append((tag, dict(attrs)))


def test_a_cell_carries_the_head_of_its_column_and_says_what_it_is() -> None:
    """Heads are told without their markup; what a browser may forget when it lays rows out otherwise is said openly."""
    found = Cells(carded(TABLE)).found
    cells = [attributes for tag, attributes in found if tag == "td"]
    assert [cell["data-head"] for cell in cells] == ["controls", "the meter shows"] * 2
    assert [cell.get("data-row") for cell in cells] == ["1", None, "2", None]
    assert ["data-none" in cell for cell in cells] == [True, False, False, False]
    roles = {tag: attributes.get("role") for tag, attributes in found}
    assert {tag: roles[tag] for tag in ("table", "thead", "tbody", "tr", "th", "td")} == {
        "table": "table",
        "thead": "rowgroup",
        "tbody": "rowgroup",
        "tr": "row",
        "th": "columnheader",
        "td": "cell",
    }
    assert re.sub(r"<[^>]*>|\s", "", carded(TABLE)) == "controlsthemetershows–3ΩoffOL"


def test_a_table_that_is_not_numbered_throughout_stays_as_it_is() -> None:
    """Where a row has no number the first column stays a column."""
    odd = TABLE.replace("<td>2</td>", "<td>second</td>")
    assert "data-row" not in carded(odd)
    assert "<th>#</th>" in carded(odd)


def test_names_and_values_are_a_list() -> None:
    """A table whose second head is empty is a list of names and values."""
    head = "<thead><tr><th>job card</th><th></th></tr></thead>"
    card = f"<table>{head}<tbody><tr><td>job</td><td>7</td></tr></tbody></table>"
    assert "<dt>job</dt><dd>7</dd>" in carded(card)
    assert "<table" not in carded(card)
