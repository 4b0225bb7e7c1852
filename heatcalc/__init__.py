"""heatcalc: size the one mini-split heat pump of a small transportable house for a buyer's place."""

__version__ = "0.1.0"
