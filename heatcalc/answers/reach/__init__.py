"""One model in every place."""
