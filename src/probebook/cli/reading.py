"""``probebook reading``: what a meter shows between two terminals of an appliance in a given state."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict, Unpack

import click

from probebook.cli.common import echo_json, json_option, library_options

if TYPE_CHECKING:
    from probebook.api import Library


class Asked(TypedDict):
    """How the appliance stands, and what it is measured with."""

    position: str | None
    faults: tuple[str, ...]
    lifts: tuple[str, ...]
    satisfied: bool
    meter_id: str | None
    nulled: bool


@click.command("reading")
@click.argument("appliance")
@click.option("--position", "-p", default=None, metavar="P", help="Position of the controls (default: the first).")
@click.option("--fault", "-f", "faults", multiple=True, metavar="F", help="A fault that is present; may be repeated.")
@click.option("--lift", "-l", "lifts", multiple=True, metavar="W", help="A wire lifted at one end; may be repeated.")
@click.option("--satisfied", is_flag=True, help="The thermostat does not call for heat (its contact is open).")
@click.option("--probe", nargs=2, required=True, metavar="A B", help="The two terminals, such as E2.1 E2.2.")
@click.option(
    "--function",
    type=click.Choice(["ohms", "continuity", "insulation"]),
    default="ohms",
    show_default=True,
    help="Function of the meter.",
)
@click.option("--meter", "meter_id", default=None, metavar="M", help="Instrument (default: one that has the function).")
@click.option("--nulled", is_flag=True, help="The leads are nulled.")
@library_options
@json_option
def command(
    appliance: str, probe: tuple[str, str], function: str, library: Library, as_json: bool, **asked: Unpack[Asked]
) -> None:
    """Say what a meter shows on APPLIANCE, isolated and proved dead, with the probes on A and B."""
    from probebook.api import State, load_appliance, reports, take_reading, usual_meter

    item = load_appliance(appliance, library)
    state = State(
        position=item.positions[0].name if asked["position"] is None else asked["position"],
        calling=not asked["satisfied"],
        lifted=frozenset(asked["lifts"]),
        faults=frozenset(asked["faults"]),
    )
    meter = library.meter(asked["meter_id"]) if asked["meter_id"] else usual_meter(library, function)
    taken = take_reading(item, probe, meter, function, state=state, nulled=asked["nulled"])
    if as_json:
        echo_json(taken.to_json())
        return
    click.echo("\n".join(reports.reading_lines(taken, library.words)))
