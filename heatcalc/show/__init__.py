"""Results drawn and written down: tables, figures, sheets.  Nothing is computed here."""
