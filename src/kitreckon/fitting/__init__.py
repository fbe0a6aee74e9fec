"""Whether a piece goes on a machine, through which adapters, and what an unmarked part is."""

from kitreckon.fitting.fit import fit, fit_all, which_takes
from kitreckon.fitting.model import Adapter, Candidate, Fit, Identification, Measurement

__all__ = [
    "Adapter",
    "Candidate",
    "Fit",
    "Identification",
    "Measurement",
    "fit",
    "fit_all",
    "which_takes",
]
