"""Ground floor: formulas of air, fuel, engine, tyre, road load, clutch and strip, with their sources."""
