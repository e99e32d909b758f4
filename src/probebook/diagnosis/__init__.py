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
from probebook.diagnosis.evidence_file import read_evidence
from probebook.diagnosis.explain import Explanation, explain
from probebook.diagnosis.hypotheses import Hypothesis, hypotheses, title_of
from probebook.diagnosis.policy import Run, solve
from probebook.diagnosis.posterior import Posterior, determined, posterior
from probebook.diagnosis.prediction import Expected, expected
from probebook.diagnosis.proof import Exclusion, Proof, prove
from probebook.diagnosis.proving import Proved, proved, proving_trials
from probebook.diagnosis.response import Response, response
from probebook.diagnosis.specimen import Specimen, observe, specimen
from probebook.diagnosis.symptoms import Symptom, Symptoms, noticed, symptoms
from probebook.diagnosis.trials import Trial, TrialKind, describe, look, reading, record, run, trials
from probebook.diagnosis.value import Worth, values

__all__ = [
    "ARRIVED",
    "Complaint",
    "Evidence",
    "Exclusion",
    "Expected",
    "Explanation",
    "Hypothesis",
    "Measured",
    "Observation",
    "Person",
    "Posterior",
    "Proof",
    "Proved",
    "Ran",
    "Response",
    "Run",
    "Seen",
    "Setup",
    "Specimen",
    "Symptom",
    "Symptoms",
    "Trial",
    "TrialKind",
    "Tripped",
    "Worth",
    "after",
    "describe",
    "determined",
    "expected",
    "explain",
    "hypotheses",
    "look",
    "measured",
    "minutes",
    "noticed",
    "objection",
    "observe",
    "posterior",
    "prove",
    "proved",
    "proving_trials",
    "read_evidence",
    "reading",
    "record",
    "response",
    "run",
    "safe",
    "solve",
    "specimen",
    "symptoms",
    "title_of",
    "trials",
    "values",
]
