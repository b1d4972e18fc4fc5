"""Ground speed with its ± from whatever sensors a log has."""

from nextpass.review.speed.ground_speed import GroundSpeed, SharedError
from nextpass.review.speed.smoother import ground_speed

__all__ = ["GroundSpeed", "SharedError", "ground_speed"]
