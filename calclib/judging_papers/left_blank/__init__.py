"""An answer that was left blank, with something of the student's own in the notebook: it waits for a person."""
