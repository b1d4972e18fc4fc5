"""Tests that a calibrator makes on purpose at rest, read from their logs: idle, fuel pumps one by one, tightness.

Each takes a log and what of the car it needs, and answers with figures, their ±, and a verdict in words. The drag of
the rolling car is read by `nextpass.review` from coast-downs.
"""

from nextpass.health.guided.idle import IdleBalance, idle_balance
from nextpass.health.guided.leakdown import LeakDown, leak_down
from nextpass.health.guided.pumps import PumpStage, PumpTest, pump_test

__all__ = [
    "IdleBalance",
    "LeakDown",
    "PumpStage",
    "PumpTest",
    "idle_balance",
    "leak_down",
    "pump_test",
]
