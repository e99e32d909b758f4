"""The two versions of the standard: name spaces, where their schemas lie, how each spells a name."""

from __future__ import annotations

import re
from dataclasses import dataclass

from probebook.errors import UsageError, choose_one

__all__ = ["STANDARDS", "Standard", "find_standard"]


@dataclass(frozen=True, slots=True)
class Standard:
    """A version.

    Attributes
    ----------
    id, title
        As it is asked for and as it is spoken of.
    items, items_schema
        Name space of items and tests, and the published address of its schema.
    package, package_schema
        The same of the manifest.
    schema, version
        What the manifest says of itself.
    suffix
        The end of the types of its resources.
    hyphens
        Whether names of the standard are written ``qti-choice-interaction`` and not ``choiceInteraction``; what is
        shown after scoring then stands in an element of its own.
    """

    id: str
    title: str
    items: str
    items_schema: str
    package: str
    package_schema: str
    schema: str
    version: str
    suffix: str
    hyphens: bool

    @property
    def version_name(self) -> str:
        """The number of the version: ``2.2`` or ``3.0``."""
        return self.id.removeprefix("qti-")

    def element(self, name: str) -> str:
        """How an element of the standard is written."""
        return f"qti-{_hyphened(name)}" if self.hyphens else name

    def attribute(self, name: str) -> str:
        """How an attribute of such an element is written."""
        return _hyphened(name) if self.hyphens else name


def _hyphened(name: str) -> str:
    return name if ":" in name else re.sub("[A-Z]", lambda found: f"-{found[0].lower()}", name)


STANDARDS = {
    each.id: each
    for each in (
        Standard(
            id="qti-3.0",
            title="1EdTech QTI 3.0",
            items="http://www.imsglobal.org/xsd/imsqtiasi_v3p0",
            items_schema="https://purl.imsglobal.org/spec/qti/v3p0/schema/xsd/imsqti_asiv3p0_v1p0.xsd",
            package="http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1",
            package_schema="https://purl.imsglobal.org/spec/qti/v3p0/schema/xsd/imsqtiv3p0_imscpv1p2_v1p0.xsd",
            schema="QTI Package",
            version="3.0.0",
            suffix="v3p0",
            hyphens=True,
        ),
        Standard(
            id="qti-2.2",
            title="1EdTech QTI 2.2",
            items="http://www.imsglobal.org/xsd/imsqti_v2p2",
            items_schema="http://www.imsglobal.org/xsd/qti/qtiv2p2/imsqti_v2p2.xsd",
            package="http://www.imsglobal.org/xsd/imscp_v1p1",
            package_schema="http://www.imsglobal.org/xsd/qti/qtiv2p2/qtiv2p2_imscpv1p2_v1p0.xsd",
            schema="QTIv2.2 Package",
            version="1.0.0",
            suffix="v2p2",
            hyphens=False,
        ),
    )
}


def find_standard(name: str) -> Standard:
    """The version of that id; UsageError where there is none."""
    if name not in STANDARDS:
        raise UsageError(f"the standard '{name}' is not known", where="--standard", remedy=choose_one(name, STANDARDS))
    return STANDARDS[name]
