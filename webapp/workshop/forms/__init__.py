"""The forms of a service record, its steps, the checklist and the leak check."""
