"""One phenomenon a file: pure functions on SI floats and arrays; every equation names its source."""
