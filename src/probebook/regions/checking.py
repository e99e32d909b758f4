"""What is wrong with the regions of a scenarios folder, every mistake at once."""

from __future__ import annotations

from pathlib import Path

from probebook.errors import ScenarioError
from probebook.regions.limits import load_rules
from probebook.regions.loading import wrong_limits
from probebook.scenario_layers import files_in

__all__ = ["wrong_region"]


def wrong_region(path: Path) -> list[ScenarioError]:
    """Every mistake in one region file; its limits are those of ``limits.toml`` beside its folder.

    Besides what keeps the file from being read: a limit that is not confirmed, and words that another region of the
    folder has and this one has not.
    """
    from probebook.regions.region_file import RegionText
    from probebook.textfiles import load_all_errors, load_text

    path = Path(path)
    errors = load_all_errors(path, RegionText)
    if errors:
        return errors
    text = load_text(path, RegionText)
    found: list[ScenarioError] = []
    if text.id != path.stem:
        found.append(
            ScenarioError(f"the id '{text.id}' differs from the file's name", where="id", remedy=f'write "{path.stem}"')
        )
    scenarios = path.resolve().parent.parent
    found += wrong_limits(text, load_rules(scenarios / "limits.toml"))
    for other in files_in(scenarios, path.parent.name):
        if other.name != path.name and not load_all_errors(other, RegionText):
            for key in load_text(other, RegionText).words:
                if key not in text.words and all(f"'{key}'" not in e.message for e in found):
                    hint = f'add {key} = {{ text = "…", status = "…", source = "…" }}'
                    message = f"the word '{key}' is missing, which {other.name} has"
                    found.append(ScenarioError(message, where="words", remedy=hint))
    return [error.at(path.name) for error in found]
