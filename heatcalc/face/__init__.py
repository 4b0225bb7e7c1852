"""What a notebook cell asks in one call: thin functions over answers and show, one file for each kind of question."""
