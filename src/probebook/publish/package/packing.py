"""A package as one file: items, pictures and tests in folders, a manifest that names them. The same items, same bytes.

Files are stored and not compressed: how far a file shrinks depends on the library at hand, and with it the bytes.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping
from xml.etree import ElementTree as Tree

from probebook.publish.package.model import Package
from probebook.publish.package.standards import Standard
from probebook.publish.package.writing import document, item_xml, root_of, test_xml

__all__ = ["MANIFEST", "package_files", "zipped"]

MANIFEST = "imsmanifest.xml"
FOLDER = "items"
#: The time that every file of a package is given: the earliest the format can hold.
TIME = (1980, 1, 1, 0, 0, 0)
#: Permissions and system that every file is given, so that the machine does not show: a plain file, of Unix.
PLAIN, UNIX = 0o100644 << 16, 3


def package_files(package: Package, standard: Standard) -> dict[str, bytes]:
    """Path → bytes of everything in a package, the manifest first."""
    places = {item.identifier: f"{FOLDER}/{item.identifier}.xml" for item in package.items}
    found: dict[str, bytes] = {}
    resources: list[Tree.Element] = []
    for test in package.tests:
        path = f"{test.identifier}.xml"
        found[path] = test_xml(test, places, standard)
        resources.append(_resource(test.identifier, f"imsqti_test_xml{standard.suffix}", [path], test.items))
    for item in package.items:
        path = places[item.identifier]
        pictures = {f"{FOLDER}/{name}": data for name, data in item.files.items()}
        found[path] = item_xml(item, standard)
        found |= pictures
        resources.append(_resource(item.identifier, f"imsqti_item_xml{standard.suffix}", [path, *pictures]))
    return {MANIFEST: _manifest(package.identifier, resources, standard), **found}


def _resource(identifier: str, kind: str, files: list[str], needs: tuple[str, ...] = ()) -> Tree.Element:
    made = Tree.Element("resource", {"identifier": f"res-{identifier}", "type": kind, "href": files[0]})
    made.extend(Tree.Element("file", {"href": path}) for path in files)
    made.extend(Tree.Element("dependency", {"identifierref": f"res-{name}"}) for name in needs)
    return made


def _manifest(identifier: str, resources: list[Tree.Element], standard: Standard) -> bytes:
    root = root_of("manifest", standard.package, standard.package_schema, {"identifier": identifier})
    about = Tree.SubElement(root, "metadata")
    Tree.SubElement(about, "schema").text = standard.schema
    Tree.SubElement(about, "schemaversion").text = standard.version
    Tree.SubElement(root, "organizations")
    Tree.SubElement(root, "resources").extend(resources)
    return document(root)


def zipped(files: Mapping[str, bytes]) -> bytes:
    """The files as one file (ZIP), in the order given."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_STORED) as archive:
        for name, data in files.items():
            entry = zipfile.ZipInfo(name, TIME)
            entry.external_attr, entry.create_system = PLAIN, UNIX
            archive.writestr(entry, data)
    return held.getvalue()
