"""The elements that may stand in an item, a test and a manifest: what may be in them, in which order, how often.

Sources: 1EdTech, *Question and Test Interoperability: Assessment, Section and Item Information Model*, version 2.2
(2015) and version 3.0 (2022), and the *IMS Content Packaging 1.2* profiles of both. Of version 3.0 the rules of
response processing, feedback and manifest were read in the published schemas (a profile, 2019); those of version 2.2
and of content are from memory of the specification, and its published examples.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["HTML", "RULES", "SPELT", "Rule", "element_names"]


@dataclass(frozen=True, slots=True)
class Rule:
    """One element.

    Attributes
    ----------
    names
        How version 2.2 and version 3.0 write it.
    content
        What may be in it, as a pattern over names of 2.2: ``a b?`` in that order, ``c*``, ``(d | e)+``. Words in
        capitals stand for groups.
    attributes
        As 2.2 writes them; those that must be there end in ``!``, and their kind follows a colon.
    text
        Whether text may stand in it between elements.
    """

    names: tuple[str, str]
    content: str = ""
    attributes: str = ""
    text: bool = False


#: Groups of elements that may stand for one another.
GROUPS = {
    "EXPRESSION": (
        "(variable | baseValue | isNull | not | and | or | match | member | index | sum | subtract | lt | lte | gte)"
    ),
    "RULE": "(setOutcomeValue | responseCondition)",
    "INLINE": "(strong | em | code | br | img)",
    "BLOCK": "(p | div | ul | ol | blockquote | pre | hr | table)",
    "INTERACTION": "(choiceInteraction | orderInteraction)",
}
#: What elements of content may carry besides their own.
COMMON = "class"

_ITEM = (
    Rule(
        ("assessmentItem", "qti-assessment-item"),
        "responseDeclaration* outcomeDeclaration* itemBody? responseProcessing? modalFeedback*",
        "identifier!:identifier title!:text xml:lang:language adaptive!:boolean timeDependent!:boolean toolName:text"
        " toolVersion:text",
    ),
    Rule(
        ("responseDeclaration", "qti-response-declaration"),
        "correctResponse?",
        "identifier!:identifier cardinality!:cardinality baseType:base",
    ),
    Rule(("correctResponse", "qti-correct-response"), "value+"),
    Rule(
        ("outcomeDeclaration", "qti-outcome-declaration"),
        "defaultValue?",
        "identifier!:identifier cardinality!:cardinality baseType:base normalMaximum:float",
    ),
    Rule(("defaultValue", "qti-default-value"), "value+"),
    Rule(("value", "qti-value"), text=True),
    Rule(("itemBody", "qti-item-body"), "(BLOCK | INTERACTION)*"),
    Rule(
        ("choiceInteraction", "qti-choice-interaction"),
        "prompt? simpleChoice+",
        "responseIdentifier!:identifier shuffle:boolean maxChoices:count",
    ),
    Rule(
        ("orderInteraction", "qti-order-interaction"),
        "prompt? simpleChoice+",
        "responseIdentifier!:identifier shuffle:boolean orientation:orientation",
    ),
    Rule(
        ("textEntryInteraction", "qti-text-entry-interaction"),
        "",
        "responseIdentifier!:identifier expectedLength:count",
    ),
    Rule(("prompt", "qti-prompt"), "INLINE*", text=True),
    Rule(("simpleChoice", "qti-simple-choice"), "(INLINE | BLOCK)*", "identifier!:identifier", text=True),
)
_PROCESSING = (
    Rule(("responseProcessing", "qti-response-processing"), "RULE*"),
    Rule(("responseCondition", "qti-response-condition"), "responseIf responseElseIf* responseElse?"),
    Rule(("responseIf", "qti-response-if"), "EXPRESSION RULE*"),
    Rule(("responseElseIf", "qti-response-else-if"), "EXPRESSION RULE*"),
    Rule(("responseElse", "qti-response-else"), "RULE*"),
    Rule(("setOutcomeValue", "qti-set-outcome-value"), "(EXPRESSION | testVariables)", "identifier!:identifier"),
    Rule(("variable", "qti-variable"), "", "identifier!:identifier"),
    Rule(("baseValue", "qti-base-value"), "", "baseType!:base", text=True),
    Rule(("isNull", "qti-is-null"), "EXPRESSION"),
    Rule(("not", "qti-not"), "EXPRESSION"),
    Rule(("and", "qti-and"), "EXPRESSION+"),
    Rule(("or", "qti-or"), "EXPRESSION+"),
    Rule(("match", "qti-match"), "EXPRESSION EXPRESSION"),
    Rule(("member", "qti-member"), "EXPRESSION EXPRESSION"),
    Rule(("index", "qti-index"), "EXPRESSION", "n!:place-or-variable"),
    Rule(("sum", "qti-sum"), "(EXPRESSION | testVariables)+"),
    Rule(("subtract", "qti-subtract"), "EXPRESSION EXPRESSION"),
    Rule(("lt", "qti-lt"), "EXPRESSION EXPRESSION"),
    Rule(("lte", "qti-lte"), "EXPRESSION EXPRESSION"),
    Rule(("gte", "qti-gte"), "EXPRESSION EXPRESSION"),
)
_TEST = (
    Rule(
        ("assessmentTest", "qti-assessment-test"),
        "outcomeDeclaration* timeLimits? testPart+ outcomeProcessing?",
        "identifier!:identifier title!:text toolName:text toolVersion:text",
    ),
    Rule(("timeLimits", "qti-time-limits"), "", "maxTime:float"),
    Rule(
        ("testPart", "qti-test-part"),
        "assessmentSection+",
        "identifier!:identifier navigationMode!:navigation submissionMode!:submission",
    ),
    Rule(
        ("assessmentSection", "qti-assessment-section"),
        "assessmentItemRef*",
        "identifier!:identifier title!:text visible!:boolean",
    ),
    Rule(("assessmentItemRef", "qti-assessment-item-ref"), "", "identifier!:identifier href!:path"),
    Rule(("outcomeProcessing", "qti-outcome-processing"), "setOutcomeValue*"),
    Rule(("testVariables", "qti-test-variables"), "", "variableIdentifier!:identifier"),
)
#: Elements of HTML are written alike in both.
HTML = (
    Rule(("p", "p"), "(INLINE | textEntryInteraction)*", text=True),
    Rule(("div", "div"), "(INLINE | BLOCK)*", text=True),
    Rule(("blockquote", "blockquote"), "BLOCK*"),
    Rule(("ul", "ul"), "li*"),
    Rule(("ol", "ol"), "li*"),
    Rule(("li", "li"), "(INLINE | BLOCK)*", text=True),
    Rule(("pre", "pre"), "", text=True),
    Rule(("hr", "hr")),
    Rule(("table", "table"), "thead? tbody+"),
    Rule(("thead", "thead"), "tr+"),
    Rule(("tbody", "tbody"), "tr+"),
    Rule(("tr", "tr"), "(th | td)+"),
    Rule(("th", "th"), "(INLINE | BLOCK)*", text=True),
    Rule(("td", "td"), "(INLINE | BLOCK)*", text=True),
    Rule(("strong", "strong"), "INLINE*", text=True),
    Rule(("em", "em"), "INLINE*", text=True),
    Rule(("code", "code"), "INLINE*", text=True),
    Rule(("br", "br")),
    Rule(("img", "img"), "", "src!:path alt!:text"),
)
_FEEDBACK = {
    "2.2": (
        Rule(
            ("modalFeedback", "qti-modal-feedback"),
            "(INLINE | BLOCK)*",
            "outcomeIdentifier!:identifier identifier!:identifier showHide!:show",
            text=True,
        ),
    ),
    "3.0": (
        Rule(
            ("modalFeedback", "qti-modal-feedback"),
            "contentBody?",
            "outcomeIdentifier!:identifier identifier!:identifier showHide!:show",
        ),
        Rule(("contentBody", "qti-content-body"), "(INLINE | BLOCK)*", text=True),
    ),
}
MANIFEST = (
    Rule(("manifest", "manifest"), "metadata organizations resources", "identifier!:identifier"),
    Rule(("metadata", "metadata"), "schema schemaversion"),
    Rule(("schema", "schema"), text=True),
    Rule(("schemaversion", "schemaversion"), text=True),
    Rule(("organizations", "organizations")),
    Rule(("resources", "resources"), "resource*"),
    Rule(
        ("resource", "resource"),
        "file+ dependency*",
        "identifier!:identifier type!:text href:path",
    ),
    Rule(("file", "file"), "", "href!:path"),
    Rule(("dependency", "dependency"), "", "identifierref!:identifier"),
)
#: How version 3.0 writes those attributes of its own elements that 2.2 writes in another way.
SPELT = {
    "baseType": "base-type",
    "expectedLength": "expected-length",
    "maxChoices": "max-choices",
    "maxTime": "max-time",
    "navigationMode": "navigation-mode",
    "normalMaximum": "normal-maximum",
    "outcomeIdentifier": "outcome-identifier",
    "responseIdentifier": "response-identifier",
    "showHide": "show-hide",
    "submissionMode": "submission-mode",
    "timeDependent": "time-dependent",
    "toolName": "tool-name",
    "toolVersion": "tool-version",
    "variableIdentifier": "variable-identifier",
}
RULES = {version: (*_ITEM, *_PROCESSING, *_TEST, *HTML, *said) for version, said in _FEEDBACK.items()}


def element_names(version: str) -> dict[str, Rule]:
    """Each element as a version writes it, and its rule."""
    place = 0 if version == "2.2" else 1
    return {rule.names[place]: rule for rule in RULES[version]}
