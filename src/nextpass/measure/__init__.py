"""Ground floor: what a measurement can and cannot tell. Statistics have their one home here."""

from nextpass.measure.estimate import HALF_WIDTH_90, Absent, Estimate, Measured

__all__ = ["HALF_WIDTH_90", "Absent", "Estimate", "Measured"]
