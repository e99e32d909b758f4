"""One line of a journal as pydantic reads it. This module loads pydantic."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from probebook.questions.model import Response, Standing

__all__ = ["Record"]


class Record(BaseModel):
    """An answer as it stands in the file: nothing unknown, nothing bent, marks finite.

    ``previous`` is the hash of the line before, ``hash`` that of this line without it.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)

    n: int
    time: str
    question: str
    response: dict[str, Response]
    standing: Standing
    marks: Annotated[float, Field(ge=-1e9, le=1e9)]
    previous: str
    hash: str
