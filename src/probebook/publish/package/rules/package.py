"""A whole package: every file by its rules, every file named, nothing named that is not there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from xml.etree import ElementTree as Tree

from probebook.publish.package.rules.meaning import meaning, test_meaning
from probebook.publish.package.rules.shape import manifest_shape, plain_tree, shape

__all__ = ["SPACES", "check_package"]

#: Name spaces of items and of manifests, the word for a package and its version, by version of the standard.
SPACES = {
    "2.2": (
        "http://www.imsglobal.org/xsd/imsqti_v2p2",
        "http://www.imsglobal.org/xsd/imscp_v1p1",
        "QTIv2.2 Package",
        "1.0.0",
    ),
    "3.0": (
        "http://www.imsglobal.org/xsd/imsqtiasi_v3p0",
        "http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1",
        "QTI Package",
        "3.0.0",
    ),
}
TYPES = {
    "2.2": {"assessmentItem": "imsqti_item_xmlv2p2", "assessmentTest": "imsqti_test_xmlv2p2"},
    "3.0": {"assessmentItem": "imsqti_item_xmlv3p0", "assessmentTest": "imsqti_test_xmlv3p0"},
}
MANIFEST = "imsmanifest.xml"


def check_package(files: Mapping[str, bytes], version: str) -> list[str]:
    """Everything that is wrong with a package, a finding each with its file; empty where all is well.

    Parameters
    ----------
    files
        Path → bytes.
    version
        ``2.2`` or ``3.0``.
    """
    return list(_findings(files, version))


def _findings(files: Mapping[str, bytes], version: str) -> Iterator[str]:
    trees: dict[str, Tree.Element] = {}
    for name, data in files.items():
        if not name.endswith(".xml"):
            continue
        try:
            trees[name] = Tree.fromstring(data.decode("utf-8"))
        except (Tree.ParseError, UnicodeDecodeError) as error:
            yield f"{name}: is no XML ({error})"
    if MANIFEST not in trees:
        yield f"{MANIFEST}: is not there"
        return
    manifest = trees.pop(MANIFEST)
    space, package_space, *_ = SPACES[version]
    yield from (f"{MANIFEST}: {each}" for each in manifest_shape(manifest, package_space))
    plain = {name: plain_tree(tree, version) for name, tree in trees.items()}
    items = {name: tree.get("identifier", "") for name, tree in plain.items() if tree.tag == "assessmentItem"}
    for name, times in Counter(items.values()).items():
        if times > 1:
            yield f"item {name}: stands {times} times"
    for name, tree in trees.items():
        found = [*shape(tree, version, space)]
        if not found:
            found = [*(meaning(plain[name]) if name in items else test_meaning(plain[name], items))]
        yield from (f"{name}: {each}" for each in found)
    yield from (f"{MANIFEST}: {each}" for each in _manifest(manifest, files, plain, version))


def _manifest(
    manifest: Tree.Element, files: Mapping[str, bytes], plain: Mapping[str, Tree.Element], version: str
) -> Iterator[str]:
    _, space, schema, number = SPACES[version]
    at = {"c": space}
    if (manifest.findtext("c:metadata/c:schema", "", at), manifest.findtext(".//c:schemaversion", "", at)) != (
        schema,
        number,
    ):
        yield f"does not say that it is a {schema} {number}"
    resources = manifest.findall(".//c:resource", at)
    names = Counter(each.get("identifier", "") for each in resources)
    names[manifest.get("identifier", "")] += 1
    for name, times in names.items():
        if times > 1:
            yield f"{name}: stands {times} times"
    named: set[str] = set()
    for each in resources:
        mine = [file.get("href", "") for file in each.findall("c:file", at)]
        named.update(mine)
        yield from _resource(each, mine, plain, version)
        for need in each.findall("c:dependency", at):
            if need.get("identifierref", "") not in names:
                yield f"{each.get('identifier')}: needs {need.get('identifierref')}, which is not there"
    for path in sorted(named - files.keys()):
        yield f"{path}: named but not there"
    for path in sorted(files.keys() - named - {MANIFEST}):
        yield f"{path}: there but not named"


def _resource(each: Tree.Element, mine: list[str], plain: Mapping[str, Tree.Element], version: str) -> Iterator[str]:
    name, href = each.get("identifier", ""), each.get("href", "")
    if href not in mine:
        yield f"{name}: {href} is not among its files"
    if len(set(mine)) < len(mine):
        yield f"{name}: a file stands twice"
    tree = plain.get(href)
    if tree is None:
        return
    if TYPES[version].get(tree.tag) != each.get("type"):
        yield f"{name}: {href} is no {each.get('type')}"
    folder = href.rpartition("/")[0]
    for image in tree.iter("img"):
        path = f"{folder}/{image.get('src')}" if folder else image.get("src", "")
        if path not in mine:
            yield f"{name}: the picture {path} is not among its files"
