"""What an appliance's file has to say of its heat: figures that a model needs, parts that are there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from probebook.appliances import Appliance, PartKind
from probebook.errors import ScenarioError, choose_one

__all__ = ["models_of", "wrong_figures"]

#: Keys of [heat] that name a part, and the kinds it may be of.
_PARTS: Mapping[str, tuple[PartKind, ...]] = {
    "thermostat": (PartKind.THERMOSTAT,),
    "top_thermostat": (PartKind.THERMOSTAT,),
    "main_thermostat": (PartKind.THERMOSTAT,),
    "fan": (PartKind.MOTOR,),
    "steam_switch": (PartKind.SWITCH, PartKind.SELECTOR),
}

#: What each model needs to be told, with an example.
_NEEDED: Mapping[str, Mapping[str, str]] = {
    "vessel": {"litres": "1.5", "heater": '"element"'},
    "duct": {"flow": "0.05", "still_flow": "0.005"},
}


def models_of(appliance: Appliance) -> dict[str, str]:
    """The models that an appliance's file names, by key: one, or that of each cavity."""
    return {key: str(value) for key, value in appliance.heat if key == "model" or key.endswith("_model")}


def wrong_figures(appliance: Appliance) -> Iterator[ScenarioError]:
    """Yield what is missing from the [heat] table of an appliance, and names in it that nothing has."""
    facts = dict(appliance.heat)
    if facts and not models_of(appliance):
        yield ScenarioError(
            "it is not said what is heated", where="heat.model", remedy='write for example model = "vessel"'
        )
    for model in models_of(appliance).values():
        for needed, usual in _NEEDED.get(model, {}).items():
            places = [branch.place for branch in appliance.branches if branch.place]
            example = f'"{places[0]}"' if needed == "heater" and places else usual
            if needed not in facts:
                yield ScenarioError(
                    f"the model '{model}' needs the key '{needed}'",
                    where=f"heat.{needed}",
                    remedy=f"write for example {needed} = {example}",
                )
    if facts.get("steam_switch") and "steam_switch_opens" not in facts:
        yield ScenarioError(
            "it is not said when the steam switch opens",
            where="heat.steam_switch_opens",
            remedy="write for example steam_switch_opens = 97.0",
        )
    yield from _names(appliance, facts)


def _names(appliance: Appliance, facts: Mapping[str, float | str]) -> Iterator[ScenarioError]:
    for key, kinds in _PARTS.items():
        name = str(facts.get(key, ""))
        marks = [part.mark for part in appliance.parts if part.kind in kinds]
        if name and name not in marks:
            yield ScenarioError(
                f"there is no {' or '.join(kinds)} '{name}'",
                where=f"heat.{key}",
                remedy=choose_one(name, marks) if marks else "take the line out",
            )
    places = sorted({branch.place for branch in appliance.branches if branch.place})
    heater = str(facts.get("heater", ""))
    if heater and heater not in places:
        yield ScenarioError(
            f"no element heats '{heater}'",
            where="heat.heater",
            remedy=choose_one(heater, places) if places else "give a section of an element that place",
        )
