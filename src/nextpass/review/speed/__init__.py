"""Ground speed with its ± from whatever sensors a log has."""

from nextpass.review.speed.ground_speed import GroundSpeed

__all__ = ["GroundSpeed"]
