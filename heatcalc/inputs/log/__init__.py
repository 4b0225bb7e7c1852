"""An owner's log."""
