"""``probebook reading``: what a meter shows between two terminals of an appliance in a given state."""

from __future__ import annotations

from pathlib import Path

import click

from probebook.cli.common import echo_json, json_option, open_library, scenarios_option


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
@scenarios_option
@json_option
def command(
    appliance: str,
    position: str | None,
    faults: tuple[str, ...],
    lifts: tuple[str, ...],
    satisfied: bool,
    probe: tuple[str, str],
    function: str,
    meter_id: str | None,
    nulled: bool,
    scenarios: Path | None,
    as_json: bool,
) -> None:
    """Say what a meter shows on APPLIANCE, isolated and proved dead, with the probes on A and B."""
    from probebook.appliances import State
    from probebook.appliances.probing import check_names, probe_ohms
    from probebook.meters import Function, read

    library = open_library(scenarios)
    item = library.appliance(appliance)
    state = State(
        position=position if position is not None else item.positions[0].name,
        calling=not satisfied,
        lifted=frozenset(lifts),
        faults=frozenset(faults),
    )
    check_names(item, state, probe)
    chosen = Function(function)
    meter = library.meter(meter_id or ("insulation-tester" if chosen is Function.INSULATION else "bench-multimeter"))
    volts = 500.0 if chosen is Function.INSULATION else 1.0
    ohms = probe_ohms(item, [state], [probe], test_volts=volts)[0, 0]
    shown = read(meter, chosen, float(ohms), nulled=nulled)
    if as_json:
        echo_json(
            {
                "appliance": item.id,
                "position": state.position,
                "calling": state.calling,
                "faults": sorted(state.faults),
                "lifted": sorted(state.lifted),
                "probes": list(probe),
                "function": function,
                "meter": meter.id,
                "ohms": float(ohms),
                "display": shown.display,
                "beeps": shown.beeps,
            }
        )
        return
    click.echo(f"{probe[0]} – {probe[1]}  {shown.display}")
    if shown.beeps is not None:
        click.echo(f"beeper {'sounds' if shown.beeps else 'silent'} (threshold {meter.beeper_ohms:g} Ω)")
