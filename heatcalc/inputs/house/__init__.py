"""A house as its builder describes it."""
