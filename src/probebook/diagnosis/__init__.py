"""Diagnosis: what may be wrong, what was observed, what follows from it and why, and what to try next.

>>> from probebook.diagnosis import hypotheses, posterior, prove, trials

The functions share their names with the modules they come from; import a module's other names from it directly.
"""

from probebook.diagnosis.effort import ARRIVED, Person, Setup, after, minutes, objection, safe
from probebook.diagnosis.evidence import (
    Complaint,
    Evidence,
    Measured,
    Observation,
    Ran,
    Seen,
    Tripped,
    measured,
)
from probebook.diagnosis.hypotheses import Hypothesis, hypotheses, title_of
from probebook.diagnosis.posterior import Posterior, determined, posterior
from probebook.diagnosis.prediction import Expected, expected
from probebook.diagnosis.proof import Exclusion, Proof, prove
from probebook.diagnosis.response import Response, response
from probebook.diagnosis.symptoms import Symptom, Symptoms, noticed, symptoms
from probebook.diagnosis.trials import Trial, TrialKind, describe, look, reading, record, run, trials

__all__ = [
    "ARRIVED",
    "Complaint",
    "Evidence",
    "Exclusion",
    "Expected",
    "Hypothesis",
    "Measured",
    "Observation",
    "Person",
    "Posterior",
    "Proof",
    "Ran",
    "Response",
    "Seen",
    "Setup",
    "Symptom",
    "Symptoms",
    "Trial",
    "TrialKind",
    "Tripped",
    "after",
    "describe",
    "determined",
    "expected",
    "hypotheses",
    "look",
    "measured",
    "minutes",
    "noticed",
    "objection",
    "posterior",
    "prove",
    "reading",
    "record",
    "response",
    "run",
    "safe",
    "symptoms",
    "title_of",
    "trials",
]
