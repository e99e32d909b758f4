"""A wrong reason for a verdict, and the slips that the verdict itself can show."""

from __future__ import annotations

from dataclasses import dataclass

from probebook.meters import Conformity

__all__ = ["Reason", "beyond_means", "verdict_slips"]

#: The interval reaches across the limit and is taken for settled; it does not and is left open.
MEANS, DOUBT = "meter-beyond-its-means", "doubt-for-verdict"


@dataclass(frozen=True, slots=True)
class Reason:
    """A wrong reason: the slip it shows, and the sentences that think it and answer it.

    ``thought`` names ``why.<thought>``, the option, and ``here.<answer>``; both are the slip's id unless they differ.
    """

    slip: str
    thought: str = ""
    answer: str = ""

    @property
    def why(self) -> str:
        """Sentence id of the option."""
        return f"why.{self.thought or self.slip}"

    @property
    def here(self) -> str:
        """Sentence id of what is said of it in this case."""
        return f"here.{self.answer or self.thought or self.slip}"


def beyond_means(conformity: Conformity) -> tuple[Reason, ...]:
    """The wrong reason that a reading settles it, where the instrument cannot tell."""
    return (Reason(MEANS),) if conformity is Conformity.CANNOT_TELL else ()


def verdict_slips(conformity: Conformity, tempts: str) -> dict[str, str]:
    """What each wrong verdict shows: verdict → slip; ``tempts`` leads from the key to its opposite."""
    if conformity is Conformity.CANNOT_TELL:
        return {"within": MEANS, "outside": MEANS}
    other = "outside" if conformity is Conformity.WITHIN else "within"
    return {other: tempts, "cannot": DOUBT}
