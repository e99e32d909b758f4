"""Diagnosis: what may be wrong, what was observed, what follows from it and why, and what to try next.

>>> from probebook.diagnosis import hypotheses, posterior, prove, trials

Import what is not listed here from its own module.
"""

from probebook.diagnosis.candidates import Hypothesis
from probebook.diagnosis.effort import ARRIVED, Objection, Person, Setup, after, minutes, objection, safe
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
from probebook.diagnosis.files.reading import read_evidence
from probebook.diagnosis.inference import Posterior, determined, posterior
from probebook.diagnosis.model import ApplianceModel, hypotheses, model_of, noticed, response, symptoms, trials
from probebook.diagnosis.physics.responses import Response
from probebook.diagnosis.prediction import Expected, expected
from probebook.diagnosis.proof import Exclusion, Proof, prove
from probebook.diagnosis.proving import Proved, proved, proving_trials
from probebook.diagnosis.saying.explaining import Explanation, explain
from probebook.diagnosis.saying.sentences import band_words, describe, title_of
from probebook.diagnosis.solving.policy import Run, solve
from probebook.diagnosis.solving.specimens import Specimen, observe, specimen
from probebook.diagnosis.symptom_table import Symptom, Symptoms
from probebook.diagnosis.trial import Trial, TrialKind, look, reading, record, run
from probebook.diagnosis.value import Worth, values

__all__ = [
    "ARRIVED",
    "ApplianceModel",
    "Complaint",
    "Evidence",
    "Exclusion",
    "Expected",
    "Explanation",
    "Hypothesis",
    "Measured",
    "Objection",
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
    "band_words",
    "describe",
    "determined",
    "expected",
    "explain",
    "hypotheses",
    "look",
    "measured",
    "minutes",
    "model_of",
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
