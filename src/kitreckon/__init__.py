"""kitreckon: what the tooling that comes with a machine is worth to its buyer."""

__version__ = "0.1.0"
