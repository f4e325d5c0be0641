"""What the trade publishes: tables, units, and the registry of derived facts with their formulas."""
