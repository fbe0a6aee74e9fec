"""Whether a piece goes on a machine, through which adapters, and what an unmarked part is."""

from kitreckon.fitting.doubts import doubts
from kitreckon.fitting.fit import fit, fit_all, which_takes
from kitreckon.fitting.identify_collets import identify_collet
from kitreckon.fitting.identify_noses import identify_nose
from kitreckon.fitting.identify_sockets import identify_socket
from kitreckon.fitting.identify_tapers import identify_taper
from kitreckon.fitting.identify_threads import identify_thread
from kitreckon.fitting.model import Adapter, Candidate, Doubt, Fit, Identification, Measurement
from kitreckon.fitting.threads import read_pitch

__all__ = [
    "Adapter",
    "Candidate",
    "Doubt",
    "Fit",
    "Identification",
    "Measurement",
    "doubts",
    "fit",
    "fit_all",
    "identify_collet",
    "identify_nose",
    "identify_socket",
    "identify_taper",
    "identify_thread",
    "read_pitch",
    "which_takes",
]
