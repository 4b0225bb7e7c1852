"""The house as the model sees it: its parts, the air through it, what it stands on."""
