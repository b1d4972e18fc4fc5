"""The judge: a richer car, driver, strip and logger than the planner knows."""
