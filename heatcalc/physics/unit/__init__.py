"""The heat pump: points, curves, frost, altitude, the refrigerant cycle."""
